import type { DayLineView, LineCycle, RunState, TodayBed } from '../views/today-view.ts';
import { clip, type DayScale, dayScale } from './day-figures.ts';
import { useWidth } from './elements.tsx';
import { pathTo, usePage } from './page-context.ts';
import { say } from './words.ts';

const HEAD_PX = 26;
const ROW_PX = 46;
const SECOND_PX = 20;
/** Room at both ends, so that no label is cut off. */
const SIDE_PX = 14;
/** From this width on the names stand beside their lines instead of above them. */
const WIDE_PX = 720;
const NAMES_PX = 300;

/** Every bed against the hours: cycles as marks, what keeps water off shaded, now as a line. */
export function DayLine({ line, beds }: { line: DayLineView; beds: readonly TodayBed[] }) {
  const [ref, width] = useWidth<HTMLDivElement>();
  return (
    <div ref={ref} class="picture">
      {width === 0 ? null : <DayLineDrawing line={line} beds={beds} width={width} />}
    </div>
  );
}

function DayLineDrawing(given: { line: DayLineView; beds: readonly TodayBed[]; width: number }) {
  const { line, beds, width } = given;
  const { time, live } = usePage();
  const isWide = width >= WIDE_PX;
  const leftPx = isWide ? NAMES_PX : SIDE_PX;
  const inner = dayScale(line, width - leftPx - SIDE_PX);
  const scale: DayScale = { ...inner, xOf: (instantMs) => leftPx + inner.xOf(instantMs) };
  const rowPx = ROW_PX + (line.inForceCycles.length > 0 ? SECOND_PX : 0);
  const height = HEAD_PX + beds.length * rowPx;
  const hours = time.hourTicks(scale);
  const now = live.nowMs;
  return (
    <>
      {/* biome-ignore lint/a11y/useSemanticElements: a drawing has no field set. */}
      <svg
        class="day-line-picture"
        width={width}
        height={height}
        role="group"
        aria-label={`${say('page.line.says')} ${say('page.table_below')}`}
      >
        <Patterns />
        {closedHours(line).map((span) => {
          const place = clip(span, scale);
          return place === null ? null : (
            <rect
              key={span.startMs}
              class="dark-hours"
              x={place.x}
              y={HEAD_PX}
              width={place.width}
              height={height - HEAD_PX}
            />
          );
        })}
        {hours.map((atMs) => (
          <g key={atMs} class="hour">
            <line x1={scale.xOf(atMs)} x2={scale.xOf(atMs)} y1={HEAD_PX} y2={height} />
            <text x={scale.xOf(atMs)} y={16} text-anchor="middle">
              {time.timeOf(atMs).slice(0, 2)}
            </text>
          </g>
        ))}
        {now < scale.startMs || now > scale.endMs ? null : (
          <g class="now">
            <line x1={scale.xOf(now)} x2={scale.xOf(now)} y1={HEAD_PX - 4} y2={height} />
            <path d={`M${scale.xOf(now) - 6} ${HEAD_PX - 10}h12l-6 8z`} />
          </g>
        )}
        {beds.map((bed, row) => (
          <BedLine
            key={bed.id}
            {...{ bed, line, scale, width, isWide }}
            topPx={HEAD_PX + row * rowPx}
          />
        ))}
      </svg>
      <DayFlow line={line} scale={scale} width={width} hours={hours} />
    </>
  );
}

/** Hours in which no cycle may start: before the first and after the last that the rules allow. */
function closedHours(line: DayLineView): { startMs: number; endMs: number }[] {
  const firstMs = line.firstStartMs ?? line.sunriseMs;
  const lastMs = line.lastEndMs ?? line.sunsetMs;
  return [
    ...(firstMs === null ? [] : [{ startMs: line.startMs, endMs: firstMs }]),
    ...(lastMs === null ? [] : [{ startMs: lastMs, endMs: line.endMs }]),
  ];
}

function BedLine(given: {
  bed: TodayBed;
  line: DayLineView;
  scale: DayScale;
  width: number;
  isWide: boolean;
  topPx: number;
}) {
  const { bed, line, scale, width, isWide, topPx } = given;
  const own = (cycle: LineCycle) => cycle.bedId === bed.id;
  const cycles = line.cycles.filter(own);
  const inForce = line.inForceCycles.filter(own);
  const rowPx = ROW_PX + (line.inForceCycles.length > 0 ? SECOND_PX : 0);
  const marksPx = topPx + (isWide ? 23 : 31);
  return (
    <a
      href={pathTo('bed', bed.id)}
      class="bed-line"
      aria-label={say('page.line.bed', {
        bed: bed.name,
        dry: bed.dryLine,
        cycles: cycles.length,
        next: bed.words.next,
      })}
    >
      <rect class="row" x={0} y={topPx} width={width} height={rowPx} />
      {line.keepOffs
        .filter((off) => off.bedId === bed.id)
        .map((off) => {
          const place = clip(off, scale);
          return place === null ? null : (
            <rect
              key={`${off.startMs} ${off.why}`}
              class="kept-off"
              x={place.x}
              y={topPx + 2}
              width={place.width}
              height={rowPx - 4}
            />
          );
        })}
      <text class="bed-label" x={isWide ? 4 : SIDE_PX} y={topPx + (isWide ? 28 : 15)}>
        {`${bed.name} `}
        <tspan class={bed.severity === 'danger' || bed.severity === 'warn' ? 'clay' : ''} dx="8">
          {bed.dryLine}
        </tspan>
      </text>
      {cycleMarks(cycles, scale, marksPx)}
      {cycleMarks(inForce, scale, marksPx + SECOND_PX)}
    </a>
  );
}

function cycleMarks(cycles: readonly LineCycle[], scale: DayScale, y: number) {
  return cycles.map((cycle) => (
    <StateMark
      key={`${cycle.cycle} ${cycle.startMs}`}
      state={cycle.state}
      x={(scale.xOf(cycle.startMs) + scale.xOf(cycle.endMs)) / 2}
      y={y}
    />
  ));
}

function Patterns() {
  return (
    <defs>
      <pattern id="dark" width="8" height="8" patternUnits="userSpaceOnUse">
        <path class="hatch" d="M-2 2 2-2M0 8 8 0M6 10l4-4" />
      </pattern>
      <pattern id="off" width="6" height="6" patternUnits="userSpaceOnUse">
        <path class="hatch" d="M0 0 6 6M6 0 0 6" />
      </pattern>
    </defs>
  );
}

const FLOW_HEIGHT_PX = 110;
const FLOW_TOP_PX = 24;

/** Flow of the pump under the day line, against its limit, on the same hours. */
function DayFlow(given: {
  line: DayLineView;
  scale: DayScale;
  width: number;
  hours: readonly number[];
}) {
  const { line, scale, width, hours } = given;
  const { show, live } = usePage();
  const { atMs, flowLPerMin, limitLPerMin } = line.flow;
  const most = Math.max(0, ...flowLPerMin);
  const top = Math.max(limitLPerMin, most) * 1.05;
  const yOf = (lPerMin: number) =>
    FLOW_TOP_PX + (FLOW_HEIGHT_PX - FLOW_TOP_PX) * (1 - lPerMin / top);
  // A first step that begins later leaves nothing flowing before it.
  const firstX = scale.xOf(Math.max(atMs[0] ?? scale.startMs, scale.startMs));
  const steps = atMs.map((startMs, index) => {
    const endMs = atMs[index + 1] ?? line.endMs;
    const from = Math.max(startMs, scale.startMs);
    const to = Math.min(endMs, scale.endMs);
    const y = yOf(flowLPerMin[index] ?? 0);
    return to <= from ? '' : `L${scale.xOf(from)} ${y}L${scale.xOf(to)} ${y}`;
  });
  const now = live.nowMs;
  const limit = show.flow(limitLPerMin);
  const words = say('page.pump', { flow: show.flow(most), limit });
  return (
    <>
      <p class="flow-words">{words}</p>
      <svg
        width={width}
        height={FLOW_HEIGHT_PX}
        role="img"
        aria-label={`${words} ${say('page.table_below')}`}
      >
        {hours.map((hourMs) => (
          <line
            key={hourMs}
            class="grid"
            x1={scale.xOf(hourMs)}
            x2={scale.xOf(hourMs)}
            y1={FLOW_TOP_PX}
            y2={FLOW_HEIGHT_PX}
          />
        ))}
        <path
          class="flow"
          d={`M${scale.xOf(scale.startMs)} ${FLOW_HEIGHT_PX}L${firstX} ${yOf(0)}${steps.join('')}L${scale.xOf(scale.endMs)} ${FLOW_HEIGHT_PX}z`}
        />
        <line
          class="pump-limit"
          x1={scale.xOf(scale.startMs)}
          x2={scale.xOf(scale.endMs)}
          y1={yOf(limitLPerMin)}
          y2={yOf(limitLPerMin)}
        />
        <text class="limit-label" x={scale.xOf(scale.startMs) + 2} y={yOf(limitLPerMin) - 6}>
          {say('page.pump.limit', { limit })}
        </text>
        {now < scale.startMs || now > scale.endMs ? null : (
          <line
            class="now-line"
            x1={scale.xOf(now)}
            x2={scale.xOf(now)}
            y1={FLOW_TOP_PX}
            y2={FLOW_HEIGHT_PX}
          />
        )}
      </svg>
    </>
  );
}

/** The states in the order in which a cycle goes through them. */
export const RUN_STATES: readonly RunState[] = [
  'planned',
  'sent',
  'accepted',
  'running',
  'ran',
  'silent',
  'missed',
  'withdrawn',
  'rejected',
];

/** A mark of eleven by eleven around a point: each state has a shape of its own, in one ink. */
export function StateMark({ state, x, y }: { state: RunState; x: number; y: number }) {
  return (
    <g class={`mark ${state}`} transform={`translate(${x} ${y})`}>
      {shape(state)}
    </g>
  );
}

function shape(state: RunState) {
  switch (state) {
    case 'planned':
      return <circle class="open" r="5" />;
    case 'sent':
      return <path class="open" d="M-4.5-5.5 5.5 0-4.5 5.5z" />;
    case 'accepted':
      return <path class="full" d="M-4.5-5.5 5.5 0-4.5 5.5z" />;
    case 'running':
      return (
        <>
          <circle class="open" r="6.500" />
          <circle class="full" r="3" />
        </>
      );
    case 'ran':
      return <circle class="full" r="5.500" />;
    case 'silent':
      return (
        <>
          <circle class="open" r="6.500" />
          <path
            class="line"
            d="M-1.800-1.800a1.900 1.900 0 1 1 2.600 1.800q-.8.4-.8 1.400M0 3.400v.6"
          />
        </>
      );
    case 'missed':
      return <path class="line" d="M-5-5 5 5M-5 5 5-5" />;
    case 'withdrawn':
      return (
        <>
          <circle class="open" r="5" />
          <path class="line" d="M-7.500 0h15" />
        </>
      );
    case 'rejected':
      return (
        <>
          <path class="open" d="M-6-6H6V6H-6z" />
          <path class="line" d="M0-3.500v4M0 3v.6" />
        </>
      );
  }
}

/** The marks with their words. */
export function StateLegend({ states }: { states: ReadonlySet<RunState> }) {
  return (
    <ul class="legend">
      {RUN_STATES.filter((state) => states.has(state)).map((state) => (
        <li key={state}>
          <svg width="22" height="22" aria-hidden="true">
            <StateMark state={state} x={11} y={11} />
          </svg>
          {say(`page.state.${state}`)}
        </li>
      ))}
    </ul>
  );
}
