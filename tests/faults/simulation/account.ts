import type { Run } from '../../../calc/schedule/run.ts';
import type { ConfirmRequest } from '../../../daemon/site/gate/judge-confirm.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { DAEMON } from '../../../daemon/site/store/audit-log.ts';
import type { Db } from '../../../daemon/site/store/database.ts';
import type { StoredPlan } from '../../../daemon/site/store/plans.ts';
import { moreThanLet, type RowUse, runsOfUse, usesAfter } from './leeway-account.ts';

/** A hold as the persons remember that they put it on. */
interface RememberedHold {
  holdId: number;
  beds: 'all' | readonly string[];
  atEvent: number;
  liftedAtEvent: number | null;
  /** Whether a receiver has been told of it. */
  isHeard: boolean;
}

interface RememberedConfirm {
  stored: StoredPlan;
  /** By the clock of the process, which may have been stepped. */
  nowMs: number;
  atEvent: number;
  leewayBedIds: readonly string[] | null;
  /** What the daemon did within its leeway, in order. */
  uses: RowUse[];
}

/**
 * What the persons of a history know they did, kept apart from the program's own tables, and what
 * must follow from it. Order is that of events, since clocks may be stepped.
 */
export interface Account {
  /** Looks for plans that are new, so that it is known before which event each was made. */
  notePlans(db: Db, atEvent: number): void;
  confirmed(
    stored: StoredPlan,
    request: ConfirmRequest,
    at: { event: number; nowMs: number },
  ): void;
  held(holdId: number, beds: 'all' | readonly string[], atEvent: number): void;
  /**
   * A person stopped water and was told of each output what is true of it; `at` gives what is to come
   * at an output, and whether it can be reached.
   */
  stopped(
    beds: 'all' | readonly string[],
    told: ReadonlyMap<string, boolean>,
    at: (output: string) => { toCome: readonly Run[]; isReached: boolean },
  ): void;
  /** Takes note of holds that the daemon has put on: for a station that ran on, or for a stop that it found. */
  noteOwnHolds(db: Db, atEvent: number): void;
  /** Looks for uses of a leeway that are new. `measuredMs`: until when the weather is measured. */
  noteUses(db: Db, at: { event: number; nowMs: number; measuredMs: number }): void;
  /** A message reached a receiver. */
  arrived(message: { output: string; orderId: string; runs: readonly Run[]; nowMs: number }): void;
  /** Runs that must still be going to begin at the end, when all has come through. */
  expected(nowMs: number): Omit<Run, 'cycle'>[];
  readonly confirms: number;
  /** Uses of leeways. */
  readonly uses: number;
}

/** Readings count for two hours; an hour is told when it is over, and a change takes a while to be seen. */
const MEASURED_MS = 4 * 3_600_000;
const ALL_CAUTIONS = CAUTIONS.map((caution) => caution.code);

/**
 * @param holdsCount Whether a hold binds a receiver from when it is put on, as where messages take
 *   no time, or from when its own message came.
 */
export function account(
  broken: (what: string) => void,
  holdsCount: 'put on' | 'heard' = 'put on',
): Account {
  const holds: RememberedHold[] = [];
  const confirms: RememberedConfirm[] = [];
  const madeAtEvent = new Map<number, number>();
  let lastPlanId = 0;
  let lastUseRow = 0;

  const covers = (hold: RememberedHold, bedId: string) =>
    hold.beds === 'all' || hold.beds.includes(bedId);
  const isOpen = (hold: RememberedHold) => hold.liftedAtEvent === null;
  const keyOf = (run: Omit<Run, 'cycle'>) => `${run.stationId} ${run.startMs} ${run.runS}`;

  return {
    get confirms() {
      return confirms.length;
    },
    get uses() {
      return confirms.reduce((sum, one) => sum + one.uses.length, 0);
    },
    notePlans(db, atEvent) {
      const rows = db
        .prepare('SELECT plan_id AS planId FROM plan WHERE plan_id > ? ORDER BY plan_id')
        .all(lastPlanId) as { planId: number }[];
      for (const { planId } of rows) {
        madeAtEvent.set(planId, atEvent);
        lastPlanId = planId;
      }
    },
    confirmed(stored, request, { event, nowMs }) {
      const what = `confirm of revision ${stored.plan.revision} of ${stored.plan.siteDay}`;
      if (!stored.digest.startsWith(request.digest) || request.digest.length < 8) {
        broken(`${what}: the digest was another (${request.digest})`);
      }
      if (stored.plan.revision !== request.revision) broken(`${what}: another revision was meant`);
      if (request.who.trim() === '') broken(`${what}: nobody did it`);
      const missing = ALL_CAUTIONS.filter((code) => !request.cautions.includes(code));
      if (missing.length > 0) broken(`${what}: ${missing.join(', ')} was not ticked`);
      if (nowMs >= stored.plan.endMs) broken(`${what}: its day was over`);
      const made = madeAtEvent.get(stored.planId) ?? Number.POSITIVE_INFINITY;
      const since = holds.find((hold) => isOpen(hold) && hold.atEvent > made);
      if (since !== undefined) broken(`${what}: hold ${since.holdId} was put on after it was made`);
      if (confirms.some((one) => one.stored.planId === stored.planId)) {
        broken(`${what}: it was confirmed before`);
      }
      const leewayBedIds = request.leewayBedIds ?? null;
      confirms.push({ stored, nowMs, atEvent: event, leewayBedIds, uses: [] });
      for (const hold of holds) {
        if (stored.lifts.includes(hold.holdId)) hold.liftedAtEvent ??= event;
      }
    },
    held(holdId, beds, atEvent) {
      holds.push({ holdId, beds, atEvent, liftedAtEvent: null, isHeard: false });
    },
    stopped(beds, told, at) {
      for (const [output, isToldStopped] of told) {
        const { toCome, isReached } = at(output);
        const left = toCome.filter((run) => beds === 'all' || beds.includes(run.bedId)).length;
        if (left > 0 && isReached) broken(`${output}: ${left} runs are left right after a stop`);
        if (left > 0 && isToldStopped)
          broken(`${output}: was told stopped, and ${left} runs are left`);
      }
    },
    noteOwnHolds(db, atEvent) {
      const rows = db
        .prepare(
          "SELECT hold_id AS holdId, beds FROM hold WHERE who = ? OR why LIKE '%(found at %' ORDER BY hold_id",
        )
        .all(DAEMON) as { holdId: number; beds: string }[];
      for (const { holdId, beds } of rows) {
        if (holds.some((hold) => hold.holdId === holdId)) continue;
        this.held(holdId, JSON.parse(beds) as 'all' | string[], atEvent);
      }
    },
    noteUses(db, { event, nowMs, measuredMs }) {
      for (const use of usesAfter(db, lastUseRow)) {
        lastUseRow = use.row;
        const source = confirms.find(({ stored }) => stored.planId === use.planId);
        const what = `change ${use.number}`;
        if (source === undefined) {
          broken(`${what}: of a plan that nobody confirmed`);
          continue;
        }
        const before = source.uses.at(-1);
        if (use.number !== source.uses.length + 1) broken(`${what}: after ${source.uses.length}`);
        if (source !== confirms.at(-1)) broken(`${what}: of a plan that is not in force`);
        if (use.atMs >= source.stored.plan.endMs) broken(`${what}: its day is over`);
        const stopped = holds.find((hold) => hold.atEvent > source.atEvent && hold.atEvent < event);
        if (stopped !== undefined) broken(`${what}: after hold ${stopped.holdId}`);
        for (const more of moreThanLet(use, { ...source, plan: source.stored.plan })) {
          broken(`${what}: ${more}`);
        }
        const laid = source.stored.plan.runs.filter(({ startMs }) => startMs >= source.nowMs);
        const was = new Set((before === undefined ? laid : runsOfUse(before)).map(keyOf));
        const is = runsOfUse(use);
        const keys = new Set(is.map(keyOf));
        const isBegun = (key: string) => Number(key.split(' ')[1]) < use.atMs;
        if ([...was].some((key) => isBegun(key) && !keys.has(key))) broken(`${what}: undid a run`);
        const late = is.find((run) => run.startMs < use.atMs && !was.has(keyOf(run)));
        if (late !== undefined) broken(`${what}: a run that should have begun`);
        if (is.length > was.size && nowMs - measuredMs > MEASURED_MS) {
          broken(`${what}: water was added, and nothing was measured of late`);
        }
        source.uses.push(use);
      }
    },
    arrived({ output, orderId, runs, nowMs }) {
      const source = confirms.find(({ stored, uses }) => {
        const { siteDay, revision } = stored.plan;
        const own = `${siteDay}-r${revision}-${stored.digest.slice(0, 8)}`;
        return orderId === own || uses.some(({ number }) => orderId === `${own}-c${number}`);
      });
      if (source === undefined && !/^(hold|stop|unknown)-/.test(orderId)) {
        broken(`${output}: order ${orderId} was confirmed by nobody`);
      }
      const known = new Set(
        confirms.flatMap(({ stored, uses }) => [
          ...stored.plan.runs.map(keyOf),
          ...uses.flatMap((use) => runsOfUse(use).map(keyOf)),
        ]),
      );
      const stranger = runs.find((run) => !known.has(keyOf(run)));
      if (stranger !== undefined) {
        broken(`${output}: order ${orderId} brings a run that no confirmed plan has`);
      }
      for (const hold of holds) {
        if (orderId.startsWith(`hold-${hold.holdId}-`)) hold.isHeard = true;
        if (!isOpen(hold) || (holdsCount === 'heard' && !hold.isHeard)) continue;
        const run = runs.find((one) => one.startMs >= nowMs && covers(hold, one.bedId));
        if (run !== undefined) {
          broken(`${output}: order ${orderId} waters ${run.bedId} under hold ${hold.holdId}`);
        }
      }
    },
    expected(nowMs) {
      const last = confirms.at(-1);
      if (last === undefined || nowMs >= last.stored.plan.endMs) return [];
      const stopped = holds.filter((hold) => hold.atEvent > last.atEvent);
      const change = last.uses.at(-1);
      const runs = change === undefined ? last.stored.plan.runs : runsOfUse(change);
      return runs.filter(
        (run) =>
          // What had begun by the confirm's own clock was missed, and is never made up for.
          run.startMs >= Math.max(nowMs, last.nowMs) &&
          !stopped.some((hold) => covers(hold, run.bedId)),
      );
    },
  };
}
