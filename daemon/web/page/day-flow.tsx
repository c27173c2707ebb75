import type { DayLineView } from '../views/day-line-view.ts';
import type { DayScale } from './day-scale.ts';
import { usePage } from './page-context.ts';

const HEIGHT_PX = 110;
const TOP_PX = 24;

/** Flow of the pump under the day line, against its limit, on the same hours. */
export function DayFlow(given: {
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
  const yOf = (lPerMin: number) => TOP_PX + (HEIGHT_PX - TOP_PX) * (1 - lPerMin / top);
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
  const words = `Pump: at most ${show.flow(most)} of its limit of ${show.flow(limitLPerMin)}.`;
  return (
    <>
      <p class="flow-words">{words}</p>
      <svg
        width={width}
        height={HEIGHT_PX}
        role="img"
        aria-label={`${words} The table below says the same.`}
      >
        {hours.map((hourMs) => (
          <line
            key={hourMs}
            class="grid"
            x1={scale.xOf(hourMs)}
            x2={scale.xOf(hourMs)}
            y1={TOP_PX}
            y2={HEIGHT_PX}
          />
        ))}
        <path
          class="flow"
          d={`M${scale.xOf(scale.startMs)} ${HEIGHT_PX}L${firstX} ${yOf(0)}${steps.join('')}L${scale.xOf(scale.endMs)} ${HEIGHT_PX}z`}
        />
        <line
          class="pump-limit"
          x1={scale.xOf(scale.startMs)}
          x2={scale.xOf(scale.endMs)}
          y1={yOf(limitLPerMin)}
          y2={yOf(limitLPerMin)}
        />
        <text class="limit-label" x={scale.xOf(scale.startMs) + 2} y={yOf(limitLPerMin) - 6}>
          limit {show.flow(limitLPerMin)}
        </text>
        {now < scale.startMs || now > scale.endMs ? null : (
          <line
            class="now-line"
            x1={scale.xOf(now)}
            x2={scale.xOf(now)}
            y1={TOP_PX}
            y2={HEIGHT_PX}
          />
        )}
      </svg>
    </>
  );
}
