import { holdWater } from '../gate/gate.ts';
import { planDoubts, stopForDoubt } from '../gate/plan-doubts.ts';
import { DAEMON } from '../store/steps.ts';
import type { Job, JobParts } from './job.ts';

/** Rows that another program changes are found out in this time. */
const LOOK_MS = 5_000;

/**
 * Looks whether the plan in force is still the one that was confirmed, and its site still the one
 * that it was made for. What is not is left out of every delivery from that moment; here it becomes
 * a hold that the outputs are told of, once.
 */
export function planWatchJob({ config, db, log, now }: JobParts): Job {
  const { clock } = config;
  const outputs = config.outputs.map(({ name }) => name);
  return {
    name: 'plan and site',
    every: { ms: LOOK_MS },
    async work() {
      const nowMs = now();
      const stop = stopForDoubt(planDoubts(db, nowMs).inForce);
      if (stop === null) return;
      holdWater({ db, clock, outputs, nowMs }, { ...stop, who: DAEMON, untilMs: null });
      log.warn({ beds: stop.beds }, `on hold: ${stop.why}; a person lifts it with a fresh plan`);
    },
  };
}
