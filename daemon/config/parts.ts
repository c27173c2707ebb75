import type { BedConfig } from './bed-schema.ts';
import type { Entry } from './entry.ts';
import type { KeepOffConfig } from './keep-off-schema.ts';
import type { PipeConfig } from './limits-schema.ts';
import type { WaysParts } from './output-checks.ts';
import type { Config } from './schema.ts';
import type { StationConfig } from './station-schema.ts';

/** The parts of a config that depend on each other, each as far as it could be read. */
export interface ConfigParts extends WaysParts {
  supply: Entry<Config['supply']>;
  mains: Entry<PipeConfig>[];
  laterals: Entry<PipeConfig>[];
  rules: Entry<Config['rules']>;
  /** Names under `sands`, even of sands that are wrong. */
  sandNames: string[];
  beds: Entry<BedConfig>[];
  stations: Entry<StationConfig>[];
  keepOffs: Entry<KeepOffConfig>[];
}
