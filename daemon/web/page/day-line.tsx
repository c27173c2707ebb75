import type { DayLineView, LineCycle } from '../views/day-line-view.ts';
import type { TodayBed } from '../views/today-view.ts';
import { DayFlow } from './day-flow.tsx';
import { clip, type DayScale, dayScale } from './day-scale.ts';
import { usePage } from './page-context.ts';
import { pathTo } from './route.ts';
import { StateMark } from './state-mark.tsx';
import { useWidth } from './use-width.ts';

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
      {width === 0 ? null : <Drawn line={line} beds={beds} width={width} />}
    </div>
  );
}

function Drawn(given: { line: DayLineView; beds: readonly TodayBed[]; width: number }) {
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
        aria-label="Beds against the hours of the day; each bed leads to its page. The table below says the same."
      >
        <Patterns />
        {outside(line).map((span) => {
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
function outside(line: DayLineView): { startMs: number; endMs: number }[] {
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
      aria-label={`${bed.name} ${bed.dryLine}; ${cycles.length} ${cycles.length === 1 ? 'cycle' : 'cycles'}, ${bed.words.next}`}
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
      {marks(cycles, scale, marksPx)}
      {marks(inForce, scale, marksPx + SECOND_PX)}
    </a>
  );
}

function marks(cycles: readonly LineCycle[], scale: DayScale, y: number) {
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
