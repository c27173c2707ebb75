import type { Say } from '../../../words/language.ts';
import { escapeHtml } from '../../../words/safe-text.ts';

/** One thing that a plot shows over its x values; null leaves a gap. */
export interface Series {
  name: string;
  kind: 'bars' | 'line';
  /** Class of the style sheet that colours it. */
  tone: string;
  values: readonly (number | null)[];
}

/** A plot with one vertical scale. */
export interface Plot {
  title: string;
  unit: string;
  /** What stands below the first, the last and some values between. */
  labels: readonly string[];
  series: readonly Series[];
  /** A level drawn across, as a limit. */
  level?: { name: string; value: number };
  height?: number;
}

const WIDTH = 720;
const LEFT = 52;
const RIGHT = 8;
const TOP = 8;
const BOTTOM = 22;
const MAX_LABELS = 8;

/** The plot as an SVG element, with its title and the greatest values in words for screen readers. */
export function svgPlot(plot: Plot, say: Say): string {
  const { series, labels, level, title, unit } = plot;
  const height = plot.height ?? 180;
  const all = [...series.flatMap((one) => one.values), level?.value ?? 0, 0];
  const known = all.filter((value): value is number => value !== null);
  const ticks = ticksOf(Math.min(...known), Math.max(...known));
  const least = ticks[0] ?? 0;
  const most = ticks.at(-1) ?? 1;
  const count = Math.max(1, labels.length);
  const slot = (WIDTH - LEFT - RIGHT) / count;
  const x = (index: number) => LEFT + slot * (index + 0.5);
  const y = (value: number) =>
    TOP + ((height - TOP - BOTTOM) * (most - value)) / Math.max(1e-9, most - least);
  const bars = series.filter((one) => one.kind === 'bars');
  const marks = series.map((one) =>
    one.kind === 'bars'
      ? barsOf(one, { index: bars.indexOf(one), of: bars.length, slot, x, y })
      : `<path class="line ${one.tone}" d="${pathOf(one.values, x, y)}"/>`,
  );
  const every = Math.ceil(count / MAX_LABELS);
  const below = labels.flatMap((label, index) =>
    index % every === 0
      ? [`<text x="${n(x(index))}" y="${height - 6}" class="mid">${escapeHtml(label)}</text>`]
      : [],
  );
  const across = ticks.map(
    (tick) =>
      `<path class="grid" d="M${LEFT} ${n(y(tick))}H${WIDTH - RIGHT}"/><text x="${LEFT - 6}" y="${n(y(tick) + 4)}" class="end">${tick}</text>`,
  );
  const limit =
    level === undefined
      ? ''
      : `<path class="level" d="M${LEFT} ${n(y(level.value))}H${WIDTH - RIGHT}"/>`;
  const said = series
    .map(({ name, values }) => say('replay.plot.most', { name, most: n(greatest(values)), unit }))
    .join('; ');
  const keys = [
    ...series.map(({ name, tone }) => `<span class="key ${tone}">${escapeHtml(name)}</span>`),
    ...(level === undefined ? [] : [`<span class="key limit">${escapeHtml(level.name)}</span>`]),
  ];
  return `<figure><figcaption>${escapeHtml(title)}, ${escapeHtml(unit)} ${keys.join(' ')}</figcaption><svg viewBox="0 0 ${WIDTH} ${height}" role="img" aria-label="${escapeHtml(say('replay.plot.said', { title, series: said }))}">${across.join('')}${marks.join('')}${limit}${below.join('')}</svg></figure>`;
}

function barsOf(
  { values, tone }: Series,
  at: {
    index: number;
    of: number;
    slot: number;
    x(index: number): number;
    y(value: number): number;
  },
): string {
  const width = (0.8 * at.slot) / at.of;
  const rects = values.map((value, index) => {
    if (value === null || value === 0) return '';
    const left = at.x(index) - 0.4 * at.slot + at.index * width;
    const top = at.y(Math.max(0, value));
    const tall = Math.abs(at.y(0) - at.y(value));
    return `<rect x="${n(left)}" y="${n(top)}" width="${n(Math.max(width, 0.5))}" height="${n(tall)}"/>`;
  });
  return `<g class="bars ${tone}">${rects.join('')}</g>`;
}

function pathOf(
  values: readonly (number | null)[],
  x: (index: number) => number,
  y: (value: number) => number,
): string {
  let isOn = false;
  return values
    .map((value, index) => {
      if (value === null) {
        isOn = false;
        return '';
      }
      const step = `${isOn ? 'L' : 'M'}${n(x(index))} ${n(y(value))}`;
      isOn = true;
      return step;
    })
    .join('');
}

/** Round values that span the range, from at or below the least to at or above the greatest. */
export function ticksOf(least: number, greatestValue: number): number[] {
  const span = Math.max(greatestValue - least, 1e-6);
  const rough = span / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 2.5, 5, 10].map((one) => one * power).find((one) => one >= rough) ?? span;
  const first = Math.floor(least / step + 1e-9);
  const last = Math.ceil(greatestValue / step - 1e-9);
  const digits = Math.max(0, 2 - Math.floor(Math.log10(step)));
  return Array.from({ length: Math.max(2, last - first + 1) }, (_, index) =>
    Number(((first + index) * step).toFixed(digits)),
  );
}

function greatest(values: readonly (number | null)[]): number {
  return Math.max(0, ...values.map((value) => value ?? 0));
}

/** Enough digits for a screen, and no more: a report of a season must stay small. */
function n(value: number): number {
  return Math.round(value * 10) / 10;
}
