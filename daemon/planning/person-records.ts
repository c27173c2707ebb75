import type { SiteClock } from '../../adapters/site-clock.ts';
import {
  type BedStanding,
  bedStanding,
  type SeenSigns,
  type StageMove,
  type StagePrompt,
  stagePrompts,
} from '../../calc/growth/stage-moves.ts';
import { STAGES, type StageName } from '../../calc/growth/stages.ts';
import type { AskedRotation } from '../../calc/schedule/asked-rotations.ts';
import type { BedGermination } from '../../calc/schedule/day-plan.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { Site } from '../../calc/schedule/site.ts';
import { changesNothing } from '../../calc/sky/day-call.ts';
import { grouped } from '../grouped.ts';
import type { Db } from '../site/store/database.ts';
import { handWaterSince, type StoredHandWater } from '../site/store/hand-records.ts';
import { type PersonKeepOff, personKeepOffs } from '../site/store/holds-and-keep-offs.ts';
import {
  askedRotationsSince,
  type BedTrim,
  bedTrims,
  dayCallsOf,
  type StoredDayCall,
  type StoredWindAnswer,
  stageMoves,
  windAnswersOf,
} from '../site/store/instructions.ts';
import { everyLook, type StoredLook } from '../site/store/looks.ts';
import { sownMsOf } from './seeding.ts';

/** What persons have put down that a plan rests on, each oldest first. */
export interface PersonRecords {
  stageMoves: readonly StageMove[];
  /** Calls of the site day, and of the one before it. */
  calls: readonly StoredDayCall[];
  callsBefore: readonly StoredDayCall[];
  keepOffs: readonly PersonKeepOff[];
  handWater: readonly StoredHandWater[];
  trims: readonly BedTrim[];
  askedRotations: readonly AskedRotation[];
  /** Answers of the site day to the wind; the newest stands. */
  windAnswers: readonly StoredWindAnswer[];
  /** Every look, those that were taken back among them. */
  looks: readonly StoredLook[];
}

/**
 * Rows that a person is thinking of: a preview plans as if they stood in the store. A keep-off with
 * the number of one that stands there takes its place.
 */
export type Hypothetical = Partial<PersonRecords>;

/** Hand water of this long before a site day still counts somewhere. */
const HAND_WATER_MS = 96 * 3_600_000;

/** The rows of the store, and after each the ones that are thought of. */
export function personRecords(
  db: Db,
  asked: { siteDay: string; dayBefore: string; dayStartMs: number },
  hypothetical: Hypothetical = {},
): PersonRecords {
  return {
    stageMoves: [...stageMoves(db), ...(hypothetical.stageMoves ?? [])],
    calls: [...dayCallsOf(db, asked.siteDay), ...(hypothetical.calls ?? [])],
    callsBefore: [...dayCallsOf(db, asked.dayBefore), ...(hypothetical.callsBefore ?? [])],
    keepOffs: withThought(personKeepOffs(db), hypothetical.keepOffs ?? []),
    handWater: [
      ...handWaterSince(db, asked.dayStartMs - HAND_WATER_MS),
      ...(hypothetical.handWater ?? []),
    ].sort((a, b) => a.startMs - b.startMs),
    trims: [...bedTrims(db), ...(hypothetical.trims ?? [])],
    askedRotations: [
      ...askedRotationsSince(db, asked.dayStartMs),
      ...(hypothetical.askedRotations ?? []),
    ],
    windAnswers: [...windAnswersOf(db, asked.siteDay), ...(hypothetical.windAnswers ?? [])],
    looks: [...everyLook(db), ...(hypothetical.looks ?? [])],
  };
}

function withThought(
  standing: readonly PersonKeepOff[],
  thought: readonly PersonKeepOff[],
): PersonKeepOff[] {
  const ids = new Set(thought.map((one) => one.keepOffId));
  return [...standing.filter((one) => !ids.has(one.keepOffId)), ...thought];
}

/** Where each bed stands, in the order of the config. */
export function standingsOf(site: Site, moves: readonly StageMove[]): BedStanding[] {
  return site.beds.map((bed) => bedStanding({ bedId: bed.id, configStage: bed.stage, moves }));
}

/** The site with each bed in the stage given for it; a bed without one keeps its own. */
export function siteInStages(site: Site, stageOf: ReadonlyMap<string, StageName>): Site {
  return {
    ...site,
    beds: site.beds.map((bed) => ({ ...bed, stage: stageOf.get(bed.id) ?? bed.stage })),
  };
}

/** The site with the trims that persons set; a bed without one keeps the config's. */
export function trimmedSite(site: Site, trims: readonly BedTrim[]): Site {
  return {
    ...site,
    beds: site.beds.map((bed) => {
      const trim = trims.findLast((one) => one.bedId === bed.id);
      return trim === undefined ? bed : { ...bed, trimFraction: trim.trimFraction };
    }),
  };
}

/** Signs older than this tell where the bed stood, not where it stands. */
const SIGNS_VALID_MS = 10 * 24 * 3_600_000;

/** The newest measure of each sign among a bed's looks. Pure. */
export function seenSigns(looks: readonly StoredLook[], bedId: string, nowMs: number): SeenSigns {
  const own = looks
    .filter((look) => look.bedId === bedId && look.undoneMs === null)
    .filter((look) => look.seenMs <= nowMs && look.seenMs >= nowMs - SIGNS_VALID_MS)
    .toSorted((a, b) => b.seenMs - a.seenMs);
  const newest = (pick: (look: StoredLook) => number | null) =>
    own.map(pick).find((value) => value !== null) ?? null;
  return {
    coverFraction: newest((look) => look.coverFraction),
    leafMm: newest((look) => look.leafMm),
    rootMm: newest((look) => look.rootMm),
  };
}

/**
 * The site with the cover that a person saw on each bed, which sets what it loses; a bed without such
 * a look, or that was moved to another stage since, has its stage's own. Pure.
 */
export function siteAsCovered(site: Site, looks: readonly StoredLook[], nowMs: number): Site {
  return {
    ...site,
    beds: site.beds.map((bed) => {
      const ofStage = looks.filter(({ stage }) => stage === bed.stage);
      const { coverFraction } = seenSigns(ofStage, bed.id, nowMs);
      return coverFraction === null ? bed : { ...bed, seenCoverFraction: coverFraction };
    }),
  };
}

/** What persons have put down that a plan rests on, and what it asks them to look at. Pure. */
export function personNotes(input: {
  site: Site;
  standings: readonly BedStanding[];
  germination: ReadonlyMap<string, BedGermination>;
  call: StoredDayCall | null;
  trims?: readonly BedTrim[];
  handWater: readonly StoredHandWater[];
  looks: readonly StoredLook[];
  nowMs: number;
  clock: SiteClock;
}): PlanWarning[] {
  const { call, standings } = input;
  const called: PlanWarning[] =
    call === null || changesNothing(call)
      ? []
      : [
          {
            code: 'day_call',
            bedId: null,
            who: call.who,
            hotterK: call.hotterK,
            windFraction: call.windFraction,
            cloudierFraction: call.cloudierFraction,
          },
        ];
  return [
    ...called,
    ...trimNotes(input),
    ...standings.flatMap(patchNotes),
    ...promptNotes(input),
    ...handWaterNotes(input),
  ];
}

function trimNotes({ site, trims = [] }: Parameters<typeof personNotes>[0]): PlanWarning[] {
  return site.beds.flatMap((bed) => {
    const trim = trims.findLast((one) => one.bedId === bed.id);
    if (trim === undefined || trim.trimFraction === 1) return [];
    const { trimFraction, who, why } = trim;
    return [{ code: 'trim', bedId: bed.id, trimFraction, who, why }];
  });
}

function patchNotes({ bedId, stage, ruling, slowPatches }: BedStanding): PlanWarning[] {
  const [slowest] = slowPatches;
  if (slowest === undefined) return [];
  const { name: patch, shareFraction } = slowest;
  return [{ code: 'slow_patch', bedId, stage, ruling, patch, shareFraction }];
}

/** What there is to look at, once for all beds of which the same is said, in the order of the first. */
function promptNotes(input: Parameters<typeof personNotes>[0]): PlanWarning[] {
  const told = input.standings.flatMap((standing) =>
    promptsOf(standing, input).map((prompt) => ({ ...standing, prompt })),
  );
  return [
    ...grouped(told, ({ ruling, prompt }) => JSON.stringify([ruling, prompt])).values(),
  ].flatMap((alike): PlanWarning[] => {
    const [first] = alike;
    if (first === undefined) return [];
    const { ruling, prompt } = first;
    const bedIds = alike.map(({ bedId }) => bedId);
    return [{ code: 'stage_prompt', bedId: null, ruling, prompt, bedIds }];
  });
}

function promptsOf(
  { bedId, ruling, move, slowPatches }: BedStanding,
  input: Parameters<typeof personNotes>[0],
): StagePrompt[] {
  const { site, germination, nowMs, clock, looks } = input;
  const bed = site.beds.find((one) => one.id === bedId);
  if (bed === undefined) return [];
  return stagePrompts({
    stage: STAGES[ruling],
    nowMs,
    sownMs: sownMsOf(bed, clock),
    movedMs: (slowPatches[0]?.move ?? move)?.atMs ?? null,
    window: germination.get(bedId) ?? null,
    seen: seenSigns(looks, bedId, nowMs),
  }).filter((prompt) => prompt.look);
}

function handWaterNotes(input: Parameters<typeof personNotes>[0]): PlanWarning[] {
  const { handWater, clock, nowMs } = input;
  const today = handWater.filter((one) => clock.siteDayOf(one.startMs) === clock.siteDayOf(nowMs));
  return [...grouped(today, ({ bedId }) => bedId)].map(([bedId, own]): PlanWarning => {
    const given = own.map(({ grossMm, startMs, who }) => ({ grossMm, atMs: startMs, who }));
    return { code: 'hand_water', bedId, given };
  });
}
