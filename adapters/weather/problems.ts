import type { SiteClock } from '../site-clock.ts';
import { HOUR_MS } from './hour-grid.ts';
import type { WeatherProblem } from './source.ts';

const SHOWN_OF_A_KIND = 5;

/**
 * The problems, with long runs of one kind drawn together: a person reads five lines about a
 * broken sensor, and then how many more there were. Two are of one kind when their texts differ
 * in nothing but the numbers.
 */
export function drawTogether(problems: readonly WeatherProblem[]): WeatherProblem[] {
  const kinds = new Map<string, WeatherProblem[]>();
  for (const problem of problems) {
    const kind = `${problem.what.replace(/\(got .*?\)/, '').replace(/[\d.:+-]+/g, '')}|${problem.done}`;
    const same = kinds.get(kind);
    if (same) same.push(problem);
    else kinds.set(kind, [problem]);
  }
  return [...kinds.values()].flatMap((same) => {
    const last = same.at(-1);
    if (same.length <= SHOWN_OF_A_KIND + 1 || !last) return same;
    const more = same.length - SHOWN_OF_A_KIND;
    const what = `${last.what}, and ${more - 1} before it of the same kind`;
    return [...same.slice(0, SHOWN_OF_A_KIND), { ...last, what }];
  });
}

/** Names each run of wanted hours that is not there. */
export function nameGaps(
  wanted: readonly number[],
  present: ReadonlySet<number>,
  { where, clock }: { where: string; clock: SiteClock },
): WeatherProblem[] {
  const problems: WeatherProblem[] = [];
  let gapMs: number | null = null;
  const close = (endMs: number) => {
    if (gapMs === null) return;
    const span = `${clock.isoOf(gapMs)} to ${clock.isoOf(endMs)}`;
    const hours = Math.round((endMs - gapMs) / HOUR_MS);
    problems.push({
      where,
      what: `no row for ${hours} h (got nothing from ${span})`,
      done: 'left out',
    });
    gapMs = null;
  };
  for (const startMs of wanted) {
    if (present.has(startMs)) close(startMs);
    else gapMs ??= startMs;
  }
  const last = wanted.at(-1);
  if (last !== undefined) close(last + HOUR_MS);
  return problems;
}
