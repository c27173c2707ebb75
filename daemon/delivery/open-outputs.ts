import type {
  AdapterLog,
  FieldReport,
  RunMemory,
  StoppableOutput,
} from '../../adapters/contract.ts';
import { createOutput } from '../../adapters/outputs/list.ts';
import { stoppable } from '../../adapters/outputs/stoppable.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import type { OutputConfig } from '../config/outputs-schema.ts';
import { paperOn } from '../words/paper.ts';
import { NO_RUNS } from './run-memory.ts';
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
