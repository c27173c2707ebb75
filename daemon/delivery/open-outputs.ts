import type { AdapterLog, FieldReport, Output, RunMemory } from '../../adapters/contract.ts';
import { createOutput } from '../../adapters/outputs/list.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { NO_RUNS } from './run-memory.ts';

/** Makes the configured outputs, by name; none is started yet. */
export async function openOutputs(
  config: LoadedConfig,
  hooks: {
    now(): number;
    log: AdapterLog;
    /** Left out where nothing may be sent run by run: only a daemon lives long enough for it. */
    runMemory?(output: string): RunMemory;
    report(report: FieldReport): void;
  },
): Promise<Map<string, Output>> {
  const context = {
    runMemory: () => NO_RUNS,
    ...hooks,
    siteId: config.site.id,
    clock: config.clock,
    units: config.units,
    stationsAtOnce: config.site.limits.stationsAtOnce,
    baseFolder: config.baseFolder,
  };
  const made = await Promise.all(config.outputs.map((output) => createOutput(output, context)));
  return new Map(made.map((output) => [output.name, output]));
}
