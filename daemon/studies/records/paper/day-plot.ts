import type { Measure } from '../../../../adapters/display-units.ts';
import type { Say } from '../../../words/language.ts';
import { escapeHtml } from '../../../words/safe-text.ts';
import type { TableContext } from '../tables/record-table.ts';

/** One day of the plot, depths over the site. */
interface PlotDay {
  siteDay: string;
  lossMm: number | null;
  /** Water that reached the ground: known to have run, assumed, by hand. */
  knownMm: number;
  assumedMm: number;
  handMm: number;
  rainMm: number | null;
}

const WIDTH = 960;
const HEIGHT = 300;
const LEFT = 56;
const RIGHT = 12;
const TOP = 28;
const BOTTOM = 44;

/**
 * Loss and water by day as plain SVG: bars for water (full: known, hatched: assumed, white: by
 * hand), a thin dotted bar for rain, a line for the loss. Readable in black and white.
 */
export function dayPlot(days: readonly PlotDay[], depth: Measure, say: Say): string {
  const waterOf = (day: PlotDay) => day.knownMm + day.assumedMm + day.handMm;
  const mostMm = Math.max(
    1,
    ...days.map((day) => Math.max(waterOf(day), day.lossMm ?? 0, day.rainMm ?? 0)),
  );
  const { top, step } = scale(depth.of(mostMm));
  const perUnit = (HEIGHT - TOP - BOTTOM) / top;
  const base = HEIGHT - BOTTOM;
  const y = (mm: number) => base - depth.of(mm) * perUnit;
  const slot = (WIDTH - LEFT - RIGHT) / Math.max(1, days.length);
  const middle = (index: number) => LEFT + slot * (index + 0.5);
  const bar = Math.min(26, slot * 0.5);
  const rect = (at: { x: number; fromMm: number; mm: number; width: number }, look: string) =>
    at.mm <= 0
      ? ''
      : `<rect x="${n(at.x)}" y="${n(y(at.fromMm + at.mm))}" width="${n(at.width)}" height="${n(y(at.fromMm) - y(at.fromMm + at.mm))}" ${look}/>`;
  const bars = days
    .map((day, index) => {
      const x = middle(index) - bar / 2;
      const width = bar;
      return [
        rect({ x, fromMm: 0, mm: day.knownMm, width }, 'fill="#2b6a8f" stroke="#123"'),
        rect(
          { x, fromMm: day.knownMm, mm: day.assumedMm, width },
          'fill="url(#assumed)" stroke="#123"',
        ),
        rect(
          { x, fromMm: day.knownMm + day.assumedMm, mm: day.handMm, width },
          'fill="#fff" stroke="#123" stroke-width="1.5"',
        ),
        rect(
          { x: x + bar + 1, fromMm: 0, mm: day.rainMm ?? 0, width: Math.max(2, bar / 4) },
          'fill="#fff" stroke="#123" stroke-dasharray="2 2"',
        ),
      ].join('');
    })
    .join('');
  const points = days.flatMap((day, index) =>
    day.lossMm === null ? [] : [`${n(middle(index))},${n(y(day.lossMm))}`],
  );
  const dots = points
    .map(
      (point) =>
        `<circle cx="${point.split(',')[0]}" cy="${point.split(',')[1]}" r="3" fill="#8a2b1d"/>`,
    )
    .join('');
  const ticks = Array.from({ length: Math.round(top / step) + 1 }, (_, index) => index * step)
    .map((value) => {
      const at = n(base - value * perUnit);
      return `<line x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${at}" y2="${at}" stroke="#ccc"/><text x="${LEFT - 6}" y="${at}" text-anchor="end" dominant-baseline="middle">${Number(value.toFixed(3))}</text>`;
    })
    .join('');
  const every = Math.max(1, Math.ceil(days.length / 16));
  const labels = days
    .map((day, index) =>
      index % every === 0
        ? `<text x="${n(middle(index))}" y="${base + 16}" text-anchor="middle">${escapeHtml(day.siteDay.slice(5))}</text>`
        : '',
    )
    .join('');
  return `<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${escapeHtml(say('reports.plot'))}">
<defs><pattern id="assumed" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="6" height="6" fill="#fff"/><line x1="0" y1="0" x2="0" y2="6" stroke="#2b6a8f" stroke-width="3"/></pattern></defs>
<text x="${LEFT - 6}" y="12" text-anchor="end">${escapeHtml(depth.unit)}</text>${ticks}${bars}
<polyline points="${points.join(' ')}" fill="none" stroke="#8a2b1d" stroke-width="2"/>${dots}
${labels}<line x1="${LEFT}" x2="${WIDTH - RIGHT}" y1="${base}" y2="${base}" stroke="#333"/>
${legend(say)}</svg>`;
}

function legend(say: Say): string {
  const at = HEIGHT - 10;
  const marks: readonly (readonly [string, string])[] = [
    ['fill="#2b6a8f" stroke="#123"', say('reports.plot.reported')],
    ['fill="url(#assumed)" stroke="#123"', say('reports.plot.assumed')],
    ['fill="#fff" stroke="#123" stroke-width="1.5"', say('reports.plot.hand')],
    ['fill="#fff" stroke="#123" stroke-dasharray="2 2"', say('reports.plot.rain')],
  ];
  const boxes = marks.map(
    ([look, text], index) =>
      `<rect x="${LEFT + index * 170}" y="${at - 10}" width="12" height="12" ${look}/><text x="${LEFT + index * 170 + 18}" y="${at}">${escapeHtml(text)}</text>`,
  );
  const x = LEFT + marks.length * 170;
  return `${boxes.join('')}<line x1="${x}" x2="${x + 18}" y1="${at - 4}" y2="${at - 4}" stroke="#8a2b1d" stroke-width="2"/><circle cx="${x + 9}" cy="${at - 4}" r="3" fill="#8a2b1d"/><text x="${x + 24}" y="${at}">${escapeHtml(say('reports.plot.loss'))}</text>`;
}

/** A round top above the greatest value, and the step between lines. */
function scale(most: number): { top: number; step: number } {
  const rough = most / 5;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5, 10].find((one) => one * power >= rough) ?? 10) * power;
  return { top: Math.ceil(most / step - 1e-9) * step, step };
}

function n(value: number): string {
  return String(Number(value.toFixed(1)));
}

/** Loss and water of each day as means over the area of all beds. Pure. */
export function plotDays({ record, stationsIn }: TableContext): PlotDay[] {
  const areaOf = new Map(record.site.beds.map((bed) => [bed.id, bed.areaM2]));
  const allM2 = record.site.beds.reduce((sum, bed) => sum + bed.areaM2, 0);
  const shareOf = (bedId: string) => (allM2 > 0 ? (areaOf.get(bedId) ?? 0) / allM2 : 0);
  return record.days.map(({ siteDay, startMs, endMs, weather }): PlotDay => {
    const bedDays = record.bedDays.filter((one) => one.siteDay === siteDay && one.lossMm !== null);
    const within = (one: { startMs: number }) => one.startMs >= startMs && one.startMs < endMs;
    const runs = record.runs.filter(within);
    const netOf = (of: typeof runs) =>
      of.reduce((sum, run) => sum + (run.netMm * shareOf(run.bedId)) / stationsIn(run.bedId), 0);
    return {
      siteDay,
      lossMm:
        bedDays.length === 0
          ? null
          : bedDays.reduce((sum, one) => sum + (one.lossMm ?? 0) * shareOf(one.bedId), 0),
      knownMm: netOf(runs.filter((run) => run.basis !== 'assumed')),
      assumedMm: netOf(runs.filter((run) => run.basis === 'assumed')),
      handMm: record.hand
        .filter(within)
        .reduce((sum, one) => sum + one.bedMm * shareOf(one.bedId), 0),
      rainMm: weather?.rainMm ?? null,
    };
  });
}
