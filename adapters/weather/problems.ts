import type { SiteClock } from '../site-clock.ts';
import { HOUR_MS } from './hour-grid.ts';
import type { WeatherProblem } from './source.ts';

const SHOWN_OF_A_KIND = 5;
/** More than a person reads of one file; a file of nothing but rubbish must not fill the memory. */
const MOST_HELD = 500;

/** Problems as they come: the first ones held, the rest counted. */
export interface ProblemList {
  add(problem: WeatherProblem): void;
  all(): WeatherProblem[];
}

export function problemList(where: string): ProblemList {
  const held: WeatherProblem[] = [];
  let more = 0;
  return {
    add(problem) {
      if (held.length < MOST_HELD) held.push(problem);
      else more++;
    },
    all() {
      if (more === 0) return [...held];
      const what = `there are more problems than are told (got ${more} beside these)`;
      return [...held, { where, what, done: 'treated like these' }];
    },
  };
}

/**
 * The problems, with long runs of one kind drawn together: a person reads five lines about a
 * broken sensor, and then how many more there were. Two are of one kind when their texts differ
 * in nothing but the numbers.
 */
export function drawTogether(problems: readonly WeatherProblem[]): WeatherProblem[] {
  const counts = new Map<string, number>();
  for (const problem of problems)
    counts.set(kindOf(problem), (counts.get(kindOf(problem)) ?? 0) + 1);
  const seen = new Map<string, number>();
  return problems.flatMap((problem) => {
    const kind = kindOf(problem);
    const all = counts.get(kind) ?? 0;
    const nth = (seen.get(kind) ?? 0) + 1;
    seen.set(kind, nth);
    if (all <= SHOWN_OF_A_KIND + 1 || nth <= SHOWN_OF_A_KIND) return [problem];
    if (nth < all) return [];
    const hidden = all - SHOWN_OF_A_KIND - 1;
    return [{ ...problem, what: `${problem.what}, and ${hidden} before it of the same kind` }];
  });
}

function kindOf({ what, done }: WeatherProblem): string {
  return `${what.replace(/\(got .*\)/, '').replace(/[\d.:+-]+/g, '')}|${done}`;
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
