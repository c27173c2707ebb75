import { display } from '../../adapters/display-units.ts';
import { faultSteps } from '../field/fault-steps.ts';
import { type FieldFault, fieldFaults } from '../field/field-faults.ts';
import { whatRan } from '../field/run-states.ts';
import { holdWater } from '../gate/gate.ts';
import { covers, openHolds } from '../store/holds.ts';
import { inTransaction } from '../store/in-transaction.ts';
import { addNews, isTold } from '../store/news.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import type { Duty, DutyParts } from './duty.ts';

/** Reports are looked through as far back as this. */
const LOOK_BACK_MS = 24 * 3_600_000;

/** Tells once of each fault that reports show, and stops the beds that the config says to stop. */
export function fieldWatchDuty({ config, db, log, now }: DutyParts): Duty {
  const { clock, field: rule, site } = config;
  const show = display(config.units);
  const nameOf = (bedId: string) => site.beds.find((bed) => bed.id === bedId)?.name ?? bedId;
  const say = ({ stationId, bedId, startMs, what }: FieldFault) =>
    `${bedId === null ? '' : `${nameOf(bedId)}, `}station ${stationId} at ${clock.timeOf(startMs)}: ${what}`;
  return {
    name: 'reports from the field',
    every: 'minute',
    async work() {
      const nowMs = now();
      const ran = whatRan(db, { fromMs: nowMs - LOOK_BACK_MS, nowMs, rule });
      const holds = openHolds(db);
      const { tell, hold } = faultSteps(fieldFaults(ran, { stations: site.stations, rule, show }), {
        isTold: (key) => isTold(db, key),
        isHeld: (bedId) => holds.some((one) => covers(one, bedId)),
        nowMs,
      });
      const siteDay = clock.siteDayOf(nowMs);
      // The hold goes first: if this ends here, it stands, and the faults are told a minute later.
      if (hold !== null) {
        const outputs = config.outputs.map(({ name }) => name);
        holdWater({ db, clock, outputs, nowMs }, { ...hold, who: DAEMON, untilMs: null });
        log.warn({ beds: hold.beds }, `on hold: ${hold.why}; a person lifts it with a fresh plan`);
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
