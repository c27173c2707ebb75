import { STAGES } from '../../calc/growth/stages.ts';
import {
  type ExpectedLook,
  KNOWN_SAND,
  type Learned,
  type LookStep,
  learnBed,
} from '../../calc/looks/learn-bed.ts';
import { probeSight } from '../../calc/looks/probe-part.ts';
import { sightOf } from '../../calc/looks/sight-of.ts';
import { SEED_LAYER_MM } from '../../calc/sand/managed-sand.ts';
import type { Bed, Site } from '../../calc/schedule/site.ts';
import type { StoredLook } from '../store/looks.ts';

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
        capacityFraction: own.capacityFraction,
      };
    }),
  };
}
