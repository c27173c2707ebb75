import type {
  AdapterLog,
  FieldReport,
  RunMemory,
  StoppableOutput,
} from '../../adapters/contract.ts';
import { createOutput } from '../../adapters/outputs/list.ts';
import { stoppable } from '../../adapters/outputs/stoppable.ts';
import type { LoadedConfig } from '../site/config/config.ts';
import type { OutputConfig } from '../site/config/connections.ts';
import { standingPlan } from '../site/gate/gate.ts';
import type { Db } from '../site/store/database.ts';
import { addRunEvent, isRunClosed } from '../site/store/field-reports.ts';
import { deliveryOf, newestOrders, openPlaces } from '../site/store/outbox.ts';
import { paperOn } from '../words/plan-card.ts';
import { hasMoved } from './order-decisions.ts';
import { isWritten } from './thread-entry.ts';
import { threadedOutput } from './threaded-output.ts';

/** What an output tells, and asks of whoever has opened it. */
export interface OutputHooks {
  now(): number;
  log: AdapterLog;
  /** Left out where nothing may be sent run by run: only a daemon lives long enough for it. */
  runMemory?(output: string): RunMemory;
  report(report: FieldReport): void;
}

/** The part of a config that outputs are made from besides their own. */
export type OutputFacts = Pick<LoadedConfig, 'clock' | 'units' | 'baseFolder' | 'zone'> & {
  site: { id: string; limits: { stationsAtOnce: number } };
};

/** Makes one output, wherever it runs; it is not started yet. */
export type OpenOutput = (
  output: OutputConfig,
  facts: OutputFacts,
  hooks: OutputHooks,
) => Promise<StoppableOutput>;

/** Makes the configured outputs, by name; none is started yet. */
export async function openOutputs(
  config: LoadedConfig,
  hooks: OutputHooks,
  open: OpenOutput = openHere,
): Promise<Map<string, StoppableOutput>> {
  const made = await Promise.all(config.outputs.map((output) => open(output, config, hooks)));
  return new Map(made.map((output) => [output.name, output]));
}

/** An output among everything else of this process. */
export const openHere: OpenOutput = async (output, facts, hooks) => {
  const { site, clock, units, baseFolder } = facts;
  const made = await createOutput(output, {
    runMemory: () => NO_RUNS,
    ...hooks,
    siteId: site.id,
    clock,
    units,
    paper: paperOn(clock),
    stationsAtOnce: site.limits.stationsAtOnce,
    baseFolder,
  });
  return stoppable(made, { siteId: site.id, clock });
};

/** An output in a thread of its own, as a running daemon has them where the program was built. */
export const openInThread: OpenOutput = async (output, facts, hooks) => {
  if (isWritten(import.meta.url)) return openHere(output, facts, hooks);
  const { site, zone, units, baseFolder } = facts;
  const { stationsAtOnce } = site.limits;
  const memory = hooks.runMemory?.(output.name) ?? NO_RUNS;
  return threadedOutput(
    { output, siteId: site.id, zone, units, baseFolder, stationsAtOnce },
    { ...hooks, memory },
  );
};

/** A memory in which nothing may run, and nothing is missed either. */
export const NO_RUNS: RunMemory = {
  has: () => true,
  add: (event) => {
    throw new Error(`${event.runId}: nothing is sent run by run here; start the daemon`);
  },
  standing: () => null,
};

/** The store as the memory of an output that sends run by run. */
export function runMemory(given: { db: Db; output: string; now(): number }): RunMemory {
  const { db, output, now } = given;
  return {
    has: (runId) => isRunClosed(db, output, runId),
    add: (event) => addRunEvent(db, { ...event, output, atMs: now() }),
    standing: () => {
      const order = newestOrders(db).find((newest) => newest.output === output);
      // An order that is still open, or was refused, displaces what stood before it all the same.
      if (order?.lastAnswer !== 'accepted' || order.confirmationId === null) return null;
      const { confirmationId } = order;
      const delivery = deliveryOf(db, { confirmationId, output });
      const place = openPlaces(db).findLast((one) => one.output === output)?.place ?? null;
      // Nobody has confirmed that valves open where the output has been moved to, or at a new one.
      if (delivery === null || hasMoved(delivery, place)) return null;
      const confirmed = standingPlan(db, confirmationId);
      if (confirmed === null || now() >= confirmed.plan.endMs) return null;
      return { orderId: order.orderId, confirmed };
    },
  };
}
