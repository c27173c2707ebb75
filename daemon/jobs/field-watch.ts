import { faultSteps } from '../field/fault-steps.ts';
import { type FieldFault, fieldFaults } from '../field/field-faults.ts';
import { whatRan } from '../field/run-states.ts';
import { holdWater } from '../gate/gate.ts';
import { covers, openHolds } from '../store/holds.ts';
import { inTransaction } from '../store/in-transaction.ts';
import { addNews, isTold } from '../store/news.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { sayFieldFault } from '../words/field-fault-words.ts';
import { sayTo } from '../words/plan-words.ts';
import { readerOf } from '../words/reader.ts';
import type { Job, JobParts } from './job.ts';

/** Reports are looked through as far back as this. */
const LOOK_BACK_MS = 24 * 3_600_000;

/** Tells once of each fault that reports show, and stops the beds that the config says to stop. */
export function fieldWatchJob({ config, db, log, now }: JobParts): Job {
  const { clock, field: rule, site } = config;
  const reader = readerOf(config);
  const nameOf = (bedId: string) => site.beds.find((bed) => bed.id === bedId)?.name ?? bedId;
  const what = (fault: FieldFault) => sayFieldFault(fault, sayTo(reader), reader.show);
  const say = (fault: FieldFault) => {
    const { stationId, bedId, startMs } = fault;
    const where = bedId === null ? '' : `${nameOf(bedId)}, `;
    return `${where}station ${stationId} at ${clock.timeOf(startMs)}: ${what(fault)}`;
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
        const others = more === 0 ? '' : `, and ${more} more`;
        const why = `station ${first.stationId} ${what(first)}${others}`;
        holdWater({ db, clock, outputs, nowMs }, { beds, why, who: DAEMON, untilMs: null });
        log.warn({ beds }, `on hold: ${why}; a person lifts it with a fresh plan`);
      }
      for (const fault of tell) {
        const text = say(fault);
        inTransaction(db, () => {
          if (!addNews(db, { key: fault.key, atMs: nowMs, kind: 'field_fault', text, siteDay })) {
            return;
          }
          addStep(db, { atMs: nowMs, kind: 'field_fault', who: DAEMON, siteDay, what: text });
        });
        log.warn({ station: fault.stationId, kind: fault.kind }, text);
      }
    },
  };
}
