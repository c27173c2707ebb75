import type { StageName } from '../../calc/growth/stages.ts';
import { type LearnedBed, learnedBeds } from '../planning/learned-beds.ts';
import { siteInStages, standingsOf } from '../planning/person-records.ts';
import { NotReckoned, type PlanningContext, whyNotPlanned } from '../planning/planning-context.ts';
import { predictedLook } from '../planning/predicted-look.ts';
import { sandMembers } from '../planning/sand-models.ts';
import { type BedNow, siteNow } from '../planning/site-now.ts';
import { addAuditEntry } from '../site/store/audit-log.ts';
import { inTransaction } from '../site/store/database.ts';
import { stageMoves } from '../site/store/instructions.ts';
import {
  addDryingEvent,
  addLook,
  addLookUndo,
  everyLook,
  lookById,
  type SeenOnBed,
  type StoredExpectation,
  type StoredLook,
} from '../site/store/looks.ts';
import type { Message } from '../words/language.ts';
import { refuse } from './action-context.ts';

/** A bed before and after a look, or after it was taken back. */
export interface LookEffect {
  look: StoredLook;
  /** Null when there is no weather to reckon with. */
  bedBefore: BedNow | null;
  bedAfter: BedNow | null;
  learnedBefore: LearnedBed;
  learnedAfter: LearnedBed;
  /** Why the look could not be held against an expectation; null when it was. */
  noExpectation: Message | string | null;
}

/** What is thought of a bed. */
export type BedStanding = Pick<LookEffect, 'bedBefore' | 'learnedBefore'>;

/** What is worked out before a look is kept. */
export interface BeforeLook {
  expected: StoredExpectation | null;
  noExpectation: Message | string | null;
  standing: BedStanding;
}

/** Where what a look asks for is worked out. */
export interface LookReckoning {
  beforeLook(seen: SeenOnBed): Promise<BeforeLook>;
  bedStanding(bedId: string): Promise<BedStanding>;
}

/** A bed with less than this left by the model that is then seen lightening was dry as expected. */
const EXPECTED_DRY_FRACTION = 0;

/**
 * Keeps what a person saw on a bed, held against what the model expected of it. The next plan starts
 * from it, and what the bed's sand may be is weighed by it.
 *
 * @param reckon Where what it takes is worked out; left out: here and now.
 */
export async function logLook(
  context: PlanningContext,
  seen: SeenOnBed,
  given: { who: string; what: string },
  reckon: LookReckoning = reckonHere(context),
): Promise<LookEffect> {
  const { db, config, nowMs } = context;
  const { expected, noExpectation, standing } = await reckon.beforeLook(seen);
  const stage = stageOf(context, seen.bedId);
  const lookId = inTransaction(db, () => {
    const added = addLook(db, { ...seen, atMs: nowMs, who: given.who, stage, expected });
    if (isDrying(seen, expected)) {
      addDryingEvent(db, {
        lookId: added,
        bedId: seen.bedId,
        seenMs: seen.seenMs,
        stage,
        expectedLeftFraction: expected?.leftFraction ?? null,
      });
    }
    addAuditEntry(db, {
      atMs: nowMs,
      kind: 'looked',
      who: given.who,
      siteDay: config.clock.siteDayOf(seen.seenMs),
      what: `${added}: ${given.what}`,
    });
    return added;
  });
  return effectOf(context, { lookId, before: standing, noExpectation }, reckon);
}

/** Takes a look back, as if it had never been: what it taught and what it set right. */
export async function undoLook(
  context: PlanningContext,
  asked: { lookId: number; who: string },
): Promise<LookEffect> {
  const { db, config, nowMs } = context;
  const { lookId, who } = asked;
  const look = Number.isInteger(lookId) ? lookById(db, lookId) : null;
  if (look === null) {
    throw refuse('undo', 'no_such_look', { got: lookId });
  }
  if (look.undoneMs !== null) {
    throw refuse('undo', 'look_undone', { got: lookId, who: look.undoneBy ?? '' });
  }
  const reckon = reckonHere(context);
  const before = await reckon.bedStanding(look.bedId);
  inTransaction(db, () => {
    addLookUndo(db, { lookId, atMs: nowMs, who });
    addAuditEntry(db, {
      atMs: nowMs,
      kind: 'look_undone',
      who,
      siteDay: config.clock.siteDayOf(nowMs),
      what: `${lookId}: ${look.bedId}, seen ${config.clock.isoOf(look.seenMs)}`,
    });
  });
  return effectOf(context, { lookId, before, noExpectation: null }, reckon);
}

async function effectOf(
  context: PlanningContext,
  done: {
    lookId: number;
    before: BedStanding;
    noExpectation: Message | string | null;
  },
  reckon: LookReckoning,
): Promise<LookEffect> {
  const look = lookById(context.db, done.lookId);
  if (look === null) throw new Error('look: not found right after it was added');
  const after = await reckon.bedStanding(look.bedId);
  return {
    look,
    ...done.before,
    bedAfter: after.bedBefore,
    learnedAfter: after.learnedBefore,
    noExpectation: done.noExpectation,
  };
}

function reckonHere(context: PlanningContext): LookReckoning {
  return {
    beforeLook: (seen) => beforeLook(context, seen),
    bedStanding: (bedId) => bedStanding(context, bedId),
  };
}

/** What the model expected of what was seen, and what is thought of its bed. Writes nothing. */
export async function beforeLook(context: PlanningContext, seen: SeenOnBed): Promise<BeforeLook> {
  const expectation = await expectationOf(context, seen);
  return { ...expectation, standing: await bedStanding(context, seen.bedId) };
}

async function expectationOf(
  context: PlanningContext,
  seen: SeenOnBed,
): Promise<{ expected: StoredExpectation | null; noExpectation: Message | string | null }> {
  try {
    const expected = await predictedLook(context, seen);
    return { expected, noExpectation: expected === null ? { key: 'look.no_plan' } : null };
  } catch (error) {
    return { expected: null, noExpectation: weatherFault(error) };
  }
}

/** What is thought of a bed now. Writes nothing. */
export async function bedStanding(context: PlanningContext, bedId: string): Promise<BedStanding> {
  const { db, config } = context;
  const standings = standingsOf(config.site, stageMoves(db));
  const site = siteInStages(config.site, new Map(standings.map((one) => [one.bedId, one.ruling])));
  const ground = { membersOf: sandMembers(config.dataFolder), nowMs: context.nowMs };
  const learnedBefore = learnedBeds(site, everyLook(db), ground).byBed.get(bedId);
  if (learnedBefore === undefined) throw new RangeError(`look: no such bed (got ${bedId})`);
  try {
    const now = await siteNow(context);
    return { bedBefore: now.beds.find((bed) => bed.bedId === bedId) ?? null, learnedBefore };
  } catch (error) {
    weatherFault(error);
    return { bedBefore: null, learnedBefore };
  }
}

/** A look is kept without weather too; any other fault goes on. */
function weatherFault(error: unknown): Message | string {
  const why = error instanceof NotReckoned ? null : whyNotPlanned(error);
  if (why === null) throw error;
  return why;
}

/** Seen dry, or expected dry and seen no darker than lightening. */
function isDrying({ surface }: SeenOnBed, expected: StoredExpectation | null): boolean {
  if (surface === 'dry') return true;
  return (
    surface === 'lightening' && expected !== null && expected.leftFraction <= EXPECTED_DRY_FRACTION
  );
}

function stageOf({ db, config }: PlanningContext, bedId: string): StageName {
  const standing = standingsOf(config.site, stageMoves(db)).find((one) => one.bedId === bedId);
  if (standing === undefined) throw new RangeError(`look: no such bed (got ${bedId})`);
  return standing.ruling;
}
