import type { RawHour } from '../../calc/sky/weather-hour.ts';
import type { AdapterLog } from '../contract.ts';
import type { SiteClock } from '../site-clock.ts';
import { HOUR_MS } from './hour-grid.ts';

/** Checks that a value or a row can fail: a closed list, each explained in adapters/README.md. */
export const CHECK_RULES = [
  'range',
  'step',
  'stuck',
  'duplicate_stamp',
  'future_stamp',
  'retained_unstamped',
] as const;

export type CheckRule = (typeof CHECK_RULES)[number];

/** Something wrong in what a source gave, and what was done about it. */
export interface WeatherProblem {
  /** `file:line` or the name of the source. */
  where: string;
  /** What is wrong, with the value got. */
  what: string;
  /** What was done with it: "left out", "filled", "refused". */
  done: string;
  /** The check that it failed; left out where it is no matter of a check. */
  rule?: CheckRule;
}

/** How a source stood when it was read. */
export interface SourceStanding {
  source: string;
  asOfMs: number | null;
  /** It is older than its limit: nothing of it counts for now or for later. */
  stale: boolean;
  /** Hours after which it is stale; null: never. */
  staleAfterH: number | null;
  /** Why nothing could be read; null when something was. */
  fault: string | null;
}

/** What a source answers: raw hours in order, each hour once, and what was wrong with it. */
export interface WeatherReading {
  /** In words for the plan: "station export weather.csv". */
  source: string;
  hours: RawHour[];
  /** When the youngest of it was measured or made, epoch ms; null when the source cannot say. */
  asOfMs: number | null;
  problems: WeatherProblem[];
  /** When the whole of it was written or fetched: the age of a forecast. Left out: as `asOfMs`. */
  writtenMs?: number;
  /** Hours of a usual day, for where neither a source nor an earlier day speaks. */
  usual?: RawHour[];
  /** Hours to come of each member of an ensemble, whose means `hours` are; left out: there is none. */
  members?: RawHour[][];
  /** How each source stood, where several are read together. */
  standings?: SourceStanding[];
}

/**
 * What a source is asked: the hours that begin at `fromMs`, an hour later and so on, up to `toMs`.
 * Ask from a full hour of the site's clock, so that the rows of stations and outlooks fit.
 */
export interface WeatherRequest {
  fromMs: number;
  toMs: number;
  /** Hours that begin before this are observed, later ones forecast. */
  nowMs: number;
}

/**
 * A place where weather comes from. A source never throws for bad data: it gives the hours that
 * can be trusted and names the rest. It throws `WeatherUnreadable` when there is nothing to read.
 */
export interface WeatherSource {
  readonly kind: string;
  read(request: WeatherRequest): Promise<WeatherReading>;
  /** Begins to collect by itself and returns at once. Unstarted, `read` may ask once, shortly. */
  start?(): void;
  /** Ends collecting; may be called again. */
  stop?(): Promise<void>;
}

/** One thing that a source wants to find again after a restart. */
export interface KeptWeather {
  atMs: number;
  content: string;
}

/** The daemon's memory, as far as a source may use it: adapters know no database. */
export interface WeatherMemory {
  remember(source: string, entries: readonly KeptWeather[]): void;
  /** From `fromMs` up to `toMs`, oldest first. */
  recall(source: string, span: { fromMs: number; toMs: number }): KeptWeather[];
  newest(source: string): KeptWeather | null;
}

/** The whole source cannot be read; the message says where, what is wrong, and what to do. */
export class WeatherUnreadable extends Error {
  override name = 'WeatherUnreadable';
}

/** What a source needs from the daemon that makes it. */
export interface WeatherContext {
  clock: SiteClock;
  /**
   * The calendar of another IANA zone, for stamps that are not in the site's time. Throws
   * RangeError when there is no such zone.
   */
  clockIn(zone: string): SiteClock;
  latitudeDeg: number;
  longitudeDeg: number;
  elevationM: number;
  /** Folder that relative paths in the config start from. */
  baseFolder: string;
  /** The clock that collecting goes by; left out: this machine's. */
  now?(): number;
  /** Another process collects: only what that has kept is read, and nothing is asked for. */
  keptOnly?: boolean;
  /** Left out: nothing outlives the process. */
  memory?: WeatherMemory;
  log?: AdapterLog;
}

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
export function summarizeRepeats(problems: readonly WeatherProblem[]): WeatherProblem[] {
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
