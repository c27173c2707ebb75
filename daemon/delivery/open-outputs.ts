import type { AdapterLog, FieldReport, Output } from '../../adapters/contract.ts';
import { createOutput } from '../../adapters/outputs/list.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';

/** Makes the configured outputs, by name; none is started yet. */
export async function openOutputs(
  config: LoadedConfig,
  hooks: { now(): number; log: AdapterLog; report(report: FieldReport): void },
): Promise<Map<string, Output>> {
  const context = {
    ...hooks,
    siteId: config.site.id,
    clock: config.clock,
    units: config.units,
    baseFolder: config.baseFolder,
  };
  const made = await Promise.all(config.outputs.map((output) => createOutput(output, context)));
  return new Map(made.map((output) => [output.name, output]));
}
