import type { Surface } from '../../../calc/looks/look-evidence.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { Db } from '../../site/store/database.ts';
import { everyLook } from '../../site/store/looks.ts';

/** What a person saw on a bed, as far as records tell it. */
export interface LookRecord {
  bedId: string;
  seenMs: number;
  who: string;
  surface: Surface | null;
  coverFraction: number | null;
  leafMm: number | null;
  rootMm: number | null;
  probeFraction: number | null;
  probeDepthMm: number | null;
  photo: string | null;
  note: string | null;
  /** Taken back later. */
  isUndone: boolean;
}

/** Looks of a stretch of time, in the order in which they were seen. */
export function readLooks(db: Db, span: { fromMs: number; toMs: number }): LookRecord[] {
  return everyLook(db)
    .filter(({ seenMs }) => seenMs >= span.fromMs && seenMs < span.toMs)
    .map(({ undoneMs, ...look }) => ({ ...look, isUndone: undoneMs !== null }));
}

/** A time at which a seedbed was dry, or expected to be, and how the stand looked later. */
export interface DryingEvent {
  bedId: string;
  fromMs: number;
  toMs: number;
  /** `seen`: a person saw it; `expected`: by the model alone, an estimate. */
  from: 'seen' | 'expected';
  who: string;
  /** Lowest expected water above the dry limit, below 0 here; null where nothing tells. */
  lowestMm: number | null;
  /** What the person wrote; empty where nothing. */
  note: string;
  /** Part of the store that the model expected to be left when a person saw it; null: nothing. */
  expectedLeftFraction: number | null;
  /** Nobody had confirmed the plan, so that nothing was watered. */
  isUnwatered: boolean;
  /** Cover seen afterwards, oldest first. */
  later: { seenMs: number; coverFraction: number }[];
}

/** A plan, and the stretch in which it was the word to go by. */
export interface RuledStretch {
  plan: Pick<DayPlan, 'beds' | 'sunriseMs' | 'sunsetMs'>;
  fromMs: number;
  toMs: number;
  /** Nobody had confirmed it, so that nothing was watered. */
  isUnwatered: boolean;
}

/** Expected stretches of one bed that lie closer than this are one. */
const JOINED_MS = 30 * 60_000;
/** Below this a dip under the limit is within what a model can know. */
const SHORTEST_DRY_MS = 15 * 60_000;
/** Cover that is seen later than this says little of one dry hour. */
const LATER_MS = 28 * 24 * 3_600_000;

/** A bed that a person saw dry. */
interface SeenDry {
  bedId: string;
  seenMs: number;
  who: string;
  /** Part of the store that the model expected to be left; null: nothing was expected. */
  expectedLeftFraction: number | null;
}

/** Beds seen dry, and daylight in which the plans in force expected one below its dry limit. Pure. */
export function dryingEvents(
  stretches: readonly RuledStretch[],
  seenDry: readonly SeenDry[],
  looks: readonly LookRecord[],
): DryingEvent[] {
  const standing = looks.filter((look) => !look.isUndone);
  const seen = seenDry.map(
    ({ bedId, seenMs, who, expectedLeftFraction: left }): Omit<DryingEvent, 'later'> => {
      const look = standing.find((one) => one.bedId === bedId && one.seenMs === seenMs);
      return {
        bedId,
        fromMs: seenMs,
        toMs: seenMs,
        from: 'seen',
        who,
        lowestMm: null,
        note: look?.note ?? '',
        expectedLeftFraction: left === null ? null : Math.max(0, left),
        isUnwatered: false,
      };
    },
  );
  return [
    ...seen,
    ...joined(stretches.flatMap(dryIn)).filter(
      ({ fromMs, toMs }) => toMs - fromMs >= SHORTEST_DRY_MS,
    ),
  ]
    .map((event) => ({ ...event, later: coverAfter(event, standing) }))
    .toSorted((a, b) => a.fromMs - b.fromMs);
}

function dryIn({ plan, fromMs, toMs, isUnwatered }: RuledStretch): Omit<DryingEvent, 'later'>[] {
  const lightFromMs = Math.max(fromMs, plan.sunriseMs ?? fromMs);
  const lightToMs = Math.min(toMs, plan.sunsetMs ?? toMs);
  return plan.beds.flatMap(({ bedId, expectedStore, dryAtMs }) => {
    if (isUnwatered) {
      const dryFromMs = Math.max(lightFromMs, dryAtMs ?? Number.POSITIVE_INFINITY);
      if (dryFromMs >= lightToMs) return [];
      return [dryPart({ bedId, fromMs: dryFromMs, toMs: lightToMs, lowestMm: null, isUnwatered })];
    }
    const { startMs, stepMin, storeMm } = expectedStore;
    return storeMm.flatMap((mm, step) => {
      const atMs = startMs + step * stepMin * 60_000;
      if (mm >= 0 || atMs < lightFromMs || atMs >= lightToMs) return [];
      return [
        dryPart({ bedId, fromMs: atMs, toMs: atMs + stepMin * 60_000, lowestMm: mm, isUnwatered }),
      ];
    });
  });
}

function dryPart(
  part: Pick<DryingEvent, 'bedId' | 'fromMs' | 'toMs' | 'lowestMm' | 'isUnwatered'>,
): Omit<DryingEvent, 'later'> {
  return { ...part, from: 'expected', who: '', note: '', expectedLeftFraction: null };
}

function joined(parts: readonly Omit<DryingEvent, 'later'>[]): Omit<DryingEvent, 'later'>[] {
  const out: Omit<DryingEvent, 'later'>[] = [];
  for (const part of parts.toSorted((a, b) =>
    a.bedId < b.bedId ? -1 : a.bedId > b.bedId ? 1 : a.fromMs - b.fromMs,
  )) {
    const last = out.at(-1);
    if (last === undefined || last.bedId !== part.bedId || part.fromMs - last.toMs > JOINED_MS) {
      out.push({ ...part });
      continue;
    }
    last.toMs = Math.max(last.toMs, part.toMs);
    const known = [last.lowestMm, part.lowestMm].flatMap((mm) => mm ?? []);
    last.lowestMm = known.length === 0 ? null : Math.min(...known);
    last.isUnwatered ||= part.isUnwatered;
  }
  return out;
}

function coverAfter(
  event: Pick<DryingEvent, 'bedId' | 'toMs'>,
  looks: readonly LookRecord[],
): DryingEvent['later'] {
  return looks.flatMap(({ bedId, seenMs, coverFraction }) =>
    bedId === event.bedId &&
    coverFraction !== null &&
    seenMs > event.toMs &&
    seenMs <= event.toMs + LATER_MS
      ? [{ seenMs, coverFraction }]
      : [],
  );
}
