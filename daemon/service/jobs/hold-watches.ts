import { type FieldFault, faultSteps, fieldFaults } from '../../delivery/field-faults.ts';
import { whatRan } from '../../delivery/what-ran.ts';
import { holdStandings } from '../../planning/open-holds.ts';
import { holdWater } from '../../site/gate/gate.ts';
import { planDoubts, stopForDoubt } from '../../site/gate/plan-doubts.ts';
import { addAlert, isTold, toldKeys } from '../../site/store/alerts.ts';
import { addAuditEntry, DAEMON } from '../../site/store/audit-log.ts';
import { inTransaction } from '../../site/store/database.ts';
import { covers, type HoldStanding, openHolds } from '../../site/store/holds-and-keep-offs.ts';
import { newestPlan } from '../../site/store/plans.ts';
import { sayStopWhy } from '../../words/confirm-words.ts';
import { sayFieldFault } from '../../words/field-fault-words.ts';
import { holdReminders } from '../../words/keep-dry-words.ts';
import { alertReader, sayTo } from '../../words/plan-words.ts';
import { planBy, type Reckoner, reckonerHere } from '../reckoner/reckoner.ts';
import type { Job, JobParts } from './job.ts';

/**
 * Reminds of holds as they eat the time to dry of their beds, each step once; and proposes a plan
 * that lifts a hold when the time meant for it has passed. It lifts nothing.
 */
export function holdWatchJob(parts: JobParts): Job {
  const { config, db, log, now, reckoner = reckonerHere(parts) } = parts;
  const { clock } = config;
  const reader = alertReader(config);
  return {
    name: 'holds',
    every: 'minute',
    async work() {
      const nowMs = now();
      const standings = holdStandings(db, config, nowMs);
      if (standings.length === 0) return;
      const siteDay = clock.siteDayOf(nowMs);
      for (const { key, text } of holdReminders(standings, toldKeys(db, 'hold '), reader)) {
        const isNew = inTransaction(db, () => {
          const news = { key, atMs: nowMs, kind: 'hold_reminder', text, siteDay } as const;
          if (!addAlert(db, news)) return false;
          addAuditEntry(db, {
            atMs: nowMs,
            kind: 'hold_reminder',
            who: DAEMON,
            siteDay,
            what: text,
          });
          return true;
        });
        if (isNew) log.warn(text);
      }
      await proposeLift({ ...parts, reckoner }, standings, nowMs);
    },
  };
}

/** A plan that lifts what is over, held, unless the newest already does. */
async function proposeLift(
  { config, db, log, onPlan, reckoner }: JobParts & { reckoner: Reckoner },
  standings: readonly HoldStanding[],
  nowMs: number,
): Promise<void> {
  const over = standings.filter(({ isOver }) => isOver).map(({ hold }) => hold.holdId);
  const newest = newestPlan(db);
  const isLifted = (holdId: number) =>
    newest !== null && nowMs < newest.plan.endMs && newest.lifts.includes(holdId);
  if (over.every(isLifted)) return;
  const stored = await planBy(
    reckoner,
    { db, config, nowMs },
    // What is over is lifted by any plan made since; other holds stay.
    { cause: 'hold_over', who: DAEMON, lift: 'none' },
  );
  const { siteDay, revision } = stored.plan;
  log.info({ siteDay, revision }, 'a plan that lifts a hold is proposed, held');
  onPlan?.(stored);
}

/** Reports are looked through as far back as this. */
const LOOK_BACK_MS = 24 * 3_600_000;

/** Tells once of each fault that reports show, and stops the beds that the config says to stop. */
export function fieldWatchJob({ config, db, log, now }: JobParts): Job {
  const { clock, field: rule, site } = config;
  const reader = alertReader(config);
  const nameOf = (bedId: string) => site.beds.find((bed) => bed.id === bedId)?.name ?? bedId;
  const what = (fault: FieldFault) => sayFieldFault(fault, sayTo(reader), reader.show);
  const say = (fault: FieldFault) => {
    const { stationId, bedId, startMs } = fault;
    return sayTo(reader)(bedId === null ? 'alert.field_fault.elsewhere' : 'alert.field_fault', {
      bed: bedId === null ? '' : nameOf(bedId),
      station: stationId,
      at: clock.timeOf(startMs),
      what: what(fault),
    });
  };
  return {
    name: 'reports from the field',
    every: 'minute',
    async work() {
      const nowMs = now();
      const ran = whatRan(db, { fromMs: nowMs - LOOK_BACK_MS, nowMs, rule });
      const holds = openHolds(db);
      const { tell, hold } = faultSteps(fieldFaults(ran, { stations: site.stations, rule }), {
        isTold: (key) => isTold(db, key),
        isHeld: (bedId) => holds.some((one) => covers(one, bedId)),
        nowMs,
      });
      const siteDay = clock.siteDayOf(nowMs);
      // The hold goes first: if this ends here, it stands, and the faults are told a minute later.
      if (hold !== null) {
        const outputs = config.outputs.map(({ name }) => name);
        const { beds, first, more } = hold;
        const values = { station: first.stationId, what: what(first), more };
        const why = sayTo(reader)('stop_why.field_fault', values);
        holdWater({ db, clock, outputs, nowMs }, { beds, why, who: DAEMON, untilMs: null });
        log.warn({ beds }, `water stopped: ${why}; a person releases it`);
      }
      for (const fault of tell) {
        const text = say(fault);
        inTransaction(db, () => {
          if (!addAlert(db, { key: fault.key, atMs: nowMs, kind: 'field_fault', text, siteDay })) {
            return;
          }
          addAuditEntry(db, { atMs: nowMs, kind: 'field_fault', who: DAEMON, siteDay, what: text });
        });
        log.warn({ station: fault.stationId, kind: fault.kind }, text);
      }
    },
  };
}

/** Rows that another program changes are found out in this time. */
const PLAN_LOOK_MS = 5_000;

/**
 * Looks whether the plan in force is still the one that was confirmed, and its site still the one
 * that it was made for. What is not is left out of every delivery from that moment; here it becomes
 * a hold that the outputs are told of, once.
 */
export function planWatchJob({ config, db, log, now }: JobParts): Job {
  const { clock } = config;
  const outputs = config.outputs.map(({ name }) => name);
  const reader = alertReader(config);
  return {
    name: 'plan and site',
    every: { ms: PLAN_LOOK_MS },
    async work() {
      const nowMs = now();
      const stop = stopForDoubt(planDoubts(db, nowMs).inForce);
      if (stop === null) return;
      const { beds } = stop;
      const why = sayStopWhy(stop.why, reader);
      holdWater({ db, clock, outputs, nowMs }, { beds, why, who: DAEMON, untilMs: null });
      log.warn({ beds }, `water stopped: ${why}; a person releases it`);
    },
  };
}
