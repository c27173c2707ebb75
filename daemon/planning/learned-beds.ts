import type { ModelMember } from '../../calc/futures/member-spread.ts';
import { membersOf as membersOfStore } from '../../calc/futures/sand-members.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import {
  type EyeKnowledge,
  eyeOf,
  type LookedAtBed,
  learnEyes,
} from '../../calc/looks/eye-knowledge.ts';
import { probeTrust, type SeenByProbe, type SeenStore } from '../../calc/looks/look-evidence.ts';
import { type MemberLook, readingSight, surfaceSight } from '../../calc/looks/member-look.ts';
import { weighLooks } from '../../calc/looks/member-weights.ts';
import { summaryOfWeights, type WeightSummary } from '../../calc/looks/weight-summary.ts';
import { SEED_LAYER_MM } from '../../calc/sand/seedbed-store.ts';
import { bedStores, type MembersOf } from '../../calc/schedule/bed-stores.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { Bed, Site } from '../../calc/schedule/site.ts';
import type { ExpectedByMembers, StoredLook } from '../site/store/looks.ts';
import { libraryDigest } from './library-digest.ts';

/** Older looks have faded to half: what is left of them is not worth the reckoning. */
const REMEMBERED_MS = 35 * 24 * 3_600_000;
/** Demand at which stores are compared, mm/h: that of a hot midday. */
const HOT_DEMAND_MM_PER_H = 0.5;

/** What a bed's looks have taught, and each look's own part in it. */
export interface LearnedBed {
  /** Weights of the members of the bed's library; null: no look was weighed. */
  weights: readonly number[] | null;
  /** What the weights mean against those of the sand alone. */
  summary: WeightSummary;
  /** Looks that were weighed, and those of them that were too dry to be believed. */
  looks: number;
  setAside: number;
  /** False where looks only set what the bed holds now. */
  isTaught: boolean;
  /** By look id; a look with a probe reading beside the surface has the later of its two steps. */
  stepOf: ReadonlyMap<number, { isSetAside: boolean }>;
}

/** What all looks have taught. */
export interface LearnedBeds {
  byBed: ReadonlyMap<string, LearnedBed>;
  /** Weights of the thresholds of the eye that looked last. */
  eye: readonly number[];
}

/** What looks are weighed by. */
export interface LookGround {
  membersOf: MembersOf;
  nowMs: number;
}

/**
 * What the looks have taught of each bed. Looks that were taken back, those held against another
 * library than the bed is planned with now, and those older than five weeks teach nothing. People's
 * eyes are learned over all beds first. Pure but for the models that `membersOf` may keep.
 *
 * @param site With the beds in their stages of now.
 */
export function learnedBeds(
  site: Site,
  looks: readonly StoredLook[],
  ground: LookGround,
): LearnedBeds {
  const standing = looks.filter((look) => look.undoneMs === null);
  const found = site.beds.map((bed) => lookedAt(bed, standing, ground));
  const eyes = learnEyes(found.flatMap((one) => (one.library === null ? [] : [one.library.bed])));
  const last = standing.toSorted((a, b) => a.seenMs - b.seenMs).at(-1);
  return {
    byBed: new Map(found.map((one) => [one.bed.id, learnedBed(one, eyes, ground.nowMs)])),
    eye: eyeOf(eyes, last?.who ?? ''),
  };
}

/** A bed with the looks that it is weighed by; without a library where there are none. */
interface LookedAt {
  bed: Bed;
  library: {
    members: readonly { capacityMm: number; lossFactor: number }[];
    /** The bed's, in the order of time; `lookIds` beside them. */
    bed: LookedAtBed;
    lookIds: readonly number[];
  } | null;
}

function lookedAt(bed: Bed, looks: readonly StoredLook[], ground: LookGround): LookedAt {
  const own = looks.filter((look) => look.bedId === bed.id);
  // A store that a person stated is left as stated.
  if (own.length === 0 || bed.sand.stated !== null) return { bed, library: null };
  const members = ground.membersOf(bed.sand, SEED_LAYER_MM + bed.embeddingMm);
  const digest = libraryDigest(members);
  const sinceMs = Math.max(...own.map((look) => look.seenMs)) - REMEMBERED_MS;
  const weighed = own
    .filter(({ seenMs }) => seenMs >= sinceMs)
    .toSorted((a, b) => a.seenMs - b.seenMs)
    .flatMap((look) => {
      const byMembers = look.expected?.byMembers ?? null;
      if (byMembers?.libraryDigest !== digest) return [];
      return memberLooks(look, byMembers).map((one) => ({ lookId: look.lookId, look: one }));
    });
  if (weighed.length === 0) return { bed, library: null };
  return {
    bed,
    library: {
      members: figuresOf(bed, members),
      bed: {
        bedId: bed.id,
        prior: members.map(({ weightFraction }) => weightFraction),
        lossFactors: members.map(({ lossFactor }) => lossFactor),
        looks: weighed.map(({ look }) => look),
      },
      lookIds: weighed.map(({ lookId }) => lookId),
    },
  };
}

/** What each member holds and loses, as far as it is told. */
function figuresOf({ memberWeights: _, ...bed }: Bed, members: readonly ModelMember[]) {
  const store = bedStores([bed], STAGES, () => members).get(bed.id);
  if (store === undefined) throw new RangeError(`stores: none for a bed (got ${bed.id})`);
  return membersOfStore(store).map(({ store: own, lossFactor }) => ({
    capacityMm: own.capacityMm(HOT_DEMAND_MM_PER_H),
    lossFactor,
  }));
}

function learnedBed({ bed, library }: LookedAt, eyes: EyeKnowledge, nowMs: number): LearnedBed {
  const isTaught = bed.sand.stated === null;
  if (library === null) {
    const summary = { storeChangeFraction: 0, lossChangeFraction: 0 };
    return { weights: null, summary, looks: 0, setAside: 0, isTaught, stepOf: new Map() };
  }
  const { prior, looks } = library.bed;
  const { weights, steps } = weighLooks(library.bed, {
    eyes,
    nowMs: Math.max(nowMs, looks.at(-1)?.atMs ?? nowMs),
    managedDepthMm: STAGES[bed.stage].managedDepthMm,
  });
  const stepOf = new Map(
    steps.flatMap(({ isSetAside }, index) => {
      const lookId = library.lookIds[index];
      return lookId === undefined ? [] : [[lookId, { isSetAside }] as const];
    }),
  );
  return {
    weights,
    summary: summaryOfWeights(prior, weights, library.members),
    looks: stepOf.size,
    setAside: steps.filter(({ isSetAside, isCounted }) => isSetAside && isCounted).length,
    isTaught,
    stepOf,
  };
}

/** A look as it is weighed: the surface where it rules, and the probe. */
function memberLooks(look: StoredLook, byMembers: ExpectedByMembers): MemberLook[] {
  const { seenMs, stage, surface, who } = look;
  const { managedDepthMm, beforeEmergence } = STAGES[stage];
  const { leftFractions, readFractions } = byMembers;
  const seen = surface !== null && surfaceRules(managedDepthMm) ? surfaceSight(surface) : null;
  const read = readFractions === null ? null : readingSight(readFractions, beforeEmergence);
  return [seen, read].flatMap((sight) =>
    sight === null ? [] : [{ atMs: seenMs, who, sight, leftFractions, managedDepthMm }],
  );
}

/** Once roots take from deeper down, a dry surface is no dry bed. */
export function surfaceRules(managedDepthMm: number): boolean {
  return managedDepthMm <= SEED_LAYER_MM;
}

/** The site with what each bed's sand may be, weighed by its looks. */
export function siteAsLearned(site: Site, { byBed }: LearnedBeds): Site {
  return {
    ...site,
    beds: site.beds.map((bed) => {
      const memberWeights = byBed.get(bed.id)?.weights ?? null;
      return memberWeights === null ? bed : { ...bed, memberWeights };
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
export function seenStates(looks: readonly StoredLook[], { byBed }: LearnedBeds): SeenState[] {
  return looks
    .filter((look) => look.undoneMs === null)
    .toSorted((a, b) => a.seenMs - b.seenMs)
    .flatMap((look) => {
      const { managedDepthMm } = STAGES[look.stage];
      const isSetAside = byBed.get(look.bedId)?.stepOf.get(look.lookId)?.isSetAside === true;
      const seen: SeenStore = {
        surface: surfaceRules(managedDepthMm) ? look.surface : null,
        probe: isSetAside && look.surface === null ? null : seenByProbe(look),
      };
      return seen.surface === null && seen.probe === null
        ? []
        : [{ bedId: look.bedId, seenMs: look.seenMs, seen }];
    });
}

function seenByProbe({ expected, stage }: StoredLook): SeenByProbe | null {
  const leftFraction = expected?.probeLeftFraction ?? null;
  if (leftFraction === null) return null;
  const { weightFraction } = probeTrust(STAGES[stage].beforeEmergence);
  const readFractions = expected?.byMembers?.readFractions ?? null;
  return { leftFraction, weightFraction, ...(readFractions === null ? {} : { readFractions }) };
}

/** Which beds of a plan rest on looks, and what these have changed. Pure. */
export function lookNotes(
  site: Site,
  looks: readonly StoredLook[],
  { byBed }: LearnedBeds,
): PlanWarning[] {
  return site.beds.flatMap((bed): PlanWarning[] => {
    const own = byBed.get(bed.id);
    const seen = looks.filter((look) => look.bedId === bed.id && look.undoneMs === null);
    if (own === undefined || seen.length === 0) return [];
    if (!own.isTaught) {
      const sets = seen.some((look) => look.surface !== null || look.probeFraction !== null);
      if (!sets) return [];
      return [{ code: 'looks', bedId: bed.id, looks: seen.length, learned: null }];
    }
    if (own.looks === 0) return [];
    const learned = { ...own.summary, setAside: own.setAside };
    return [{ code: 'looks', bedId: bed.id, looks: seen.length, learned }];
  });
}

/** The beds at which a look can tell more of the sand: the surface rules, and no store was stated. */
export function lookableBeds(site: Site, unseeded: readonly Bed[]): string[] {
  return site.beds
    .filter(({ id, sand, stage }) => {
      const isSeeded = unseeded.every((one) => one.id !== id);
      return isSeeded && sand.stated === null && surfaceRules(STAGES[stage].managedDepthMm);
    })
    .map(({ id }) => id);
}
