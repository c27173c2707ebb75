import { STAGES } from '../../calc/growth/stages.ts';
import {
  type ExpectedLook,
  KNOWN_SAND,
  type Learned,
  type LookStep,
  learnBed,
} from '../../calc/looks/learn-bed.ts';
import { probeSight, probeTrust, type SeenStore, sightOf } from '../../calc/looks/look-evidence.ts';
import { SEED_LAYER_MM } from '../../calc/sand/seedbed-store.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { Bed, Site } from '../../calc/schedule/site.ts';
import type { StoredLook } from '../site/store/looks.ts';

/** Older looks have faded to half: what is left of them is not worth the reckoning. */
const REMEMBERED_MS = 35 * 24 * 3_600_000;

/** What a bed's looks have taught, and each look's own part in it. */
export interface LearnedBed {
  learned: Learned;
  /** False where looks only set what the bed holds now. */
  isTaught: boolean;
  /** By look id; a look with a probe reading beside the surface has the later of its two steps. */
  stepOf: ReadonlyMap<number, LookStep>;
}

/**
 * What the looks have taught of each bed, by bed id. Looks that were taken back teach nothing. Pure.
 * @param site With the beds in their stages of now.
 */
export function learnedBeds(site: Site, looks: readonly StoredLook[]): Map<string, LearnedBed> {
  return new Map(site.beds.map((bed) => [bed.id, learnedBed(bed, looks)]));
}

function learnedBed(bed: Bed, looks: readonly StoredLook[]): LearnedBed {
  const own = looks.filter((look) => look.bedId === bed.id && look.undoneMs === null);
  const sinceMs = Math.max(...own.map((look) => look.seenMs)) - REMEMBERED_MS;
  const taught = own
    .filter((look) => look.seenMs >= sinceMs && teaches(look, bed))
    .toSorted((a, b) => a.seenMs - b.seenMs)
    .flatMap((look) => expectedLooks(look).map((expected) => ({ lookId: look.lookId, expected })));
  const { learned, steps } = learnBed(
    taught.map((one) => one.expected),
    {
      beginning: KNOWN_SAND,
      managedDepthMm: STAGES[bed.stage].managedDepthMm,
    },
  );
  const stepOf = new Map(
    steps.flatMap((step, index) => {
      const lookId = taught[index]?.lookId;
      return lookId === undefined ? [] : [[lookId, step] as const];
    }),
  );
  return { learned, isTaught: bed.sand.basis !== 'stated', stepOf };
}

/**
 * Whether a look teaches factors. A store that a person stated is left as stated: no trial has judged
 * what its factors would do. A look teaches by the store that it was held against alone: an older one
 * at an assumed sand was held against another than plans are made with now.
 */
function teaches({ expected }: StoredLook, { sand }: Bed): boolean {
  if (expected === null || sand.basis === 'stated') return false;
  return expected.byPlannedSands === true || sand.basis === 'lab_report';
}

/** A look as the estimator takes it: the surface where it rules, and the probe. */
function expectedLooks({ seenMs, stage, surface, expected }: StoredLook): ExpectedLook[] {
  if (expected === null) return [];
  const { managedDepthMm, beforeEmergence } = STAGES[stage];
  const seen = surface !== null && surfaceRules(managedDepthMm) ? sightOf(surface) : null;
  const probed =
    expected.probeLeftFraction === null
      ? null
      : probeSight(expected.probeLeftFraction, beforeEmergence);
  return [seen, probed].flatMap((sight) =>
    sight === null ? [] : [{ ...expected, atMs: seenMs, sight, managedDepthMm }],
  );
}

/** Once roots take from deeper down, a dry surface is no dry bed. */
export function surfaceRules(managedDepthMm: number): boolean {
  return managedDepthMm <= SEED_LAYER_MM;
}

/** The site with each bed's exposure and store as its looks have taught. */
export function siteAsLearned(site: Site, learned: ReadonlyMap<string, LearnedBed>): Site {
  return {
    ...site,
    beds: site.beds.map((bed) => {
      const own = learned.get(bed.id)?.learned;
      if (own === undefined || own.looks === 0) return bed;
      return {
        ...bed,
        exposureFraction: bed.exposureFraction * own.exposureFraction,
        capacityFactor: own.capacityFraction,
      };
    }),
  };
}

/** A look that sets a bed's store right at its moment. */
export interface SeenState {
  bedId: string;
  seenMs: number;
  seen: SeenStore;
}

/**
 * What looks say of the stores, in the order in which they were seen. A dry surface always counts,
 * also where it was set aside and teaches little. Pure.
 */
export function seenStates(
  looks: readonly StoredLook[],
  learned: ReadonlyMap<string, LearnedBed>,
): SeenState[] {
  return looks
    .filter((look) => look.undoneMs === null)
    .toSorted((a, b) => a.seenMs - b.seenMs)
    .flatMap((look) => {
      const { managedDepthMm, beforeEmergence } = STAGES[look.stage];
      const isSetAside = learned.get(look.bedId)?.stepOf.get(look.lookId)?.isSetAside === true;
      const read = look.expected?.probeLeftFraction ?? null;
      const seen: SeenStore = {
        surface: surfaceRules(managedDepthMm) ? look.surface : null,
        probe:
          read === null || (isSetAside && look.surface === null)
            ? null
            : {
                leftFraction: read,
                weightFraction: probeTrust(beforeEmergence).weightFraction,
              },
      };
      return seen.surface === null && seen.probe === null
        ? []
        : [{ bedId: look.bedId, seenMs: look.seenMs, seen }];
    });
}

/** Which beds of a plan rest on looks, and what these have changed. Pure. */
export function lookNotes(
  site: Site,
  looks: readonly StoredLook[],
  learnedOf: ReadonlyMap<string, LearnedBed>,
): PlanWarning[] {
  return site.beds.flatMap((bed): PlanWarning[] => {
    const own = learnedOf.get(bed.id);
    const seen = looks.filter((look) => look.bedId === bed.id && look.undoneMs === null);
    if (own === undefined || seen.length === 0) return [];
    if (!own.isTaught) {
      const sets = seen.some((look) => look.surface !== null || look.probeFraction !== null);
      if (!sets) return [];
      return [{ code: 'looks', bedId: bed.id, looks: seen.length, learned: null }];
    }
    if (own.learned.looks === 0) return [];
    const { capacityFraction, exposureFraction, setAside } = own.learned;
    const learned = { capacityFraction, exposureFraction, setAside };
    return [{ code: 'looks', bedId: bed.id, looks: seen.length, learned }];
  });
}
