import { z } from 'zod';
import type { WebhookConfig } from '../../../adapters/alert-webhook.ts';
import type { Language } from '../../../adapters/contract.ts';
import type { DisplayUnits } from '../../../adapters/display-units.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import type { Site } from '../../../calc/schedule/site.ts';
import type { FieldRule } from '../store/run-state.ts';
import { type BedConfig, bedsSchema, sandsSchema } from './bed-schema.ts';
import {
  type Connections,
  type OutputConfig,
  outputsSchema,
  type WeatherConfig,
  weatherSchema,
} from './connections.ts';
import type { Entry } from './entry.ts';
import { type KeepOffConfig, type KeepOffRule, keepOffsSchema } from './keep-offs.ts';
import { type MorningTime, morningSchema } from './morning.ts';
import { type PageConfig, pageSchema } from './page-schema.ts';
import type { ConfigProblem } from './problems.ts';
import {
  fieldReportsSchema,
  newsSchema,
  type RevisionRule,
  revisionsSchema,
} from './service-schema.ts';
import { dataFolderSchema, languageSchema, siteSchema, unitsSchema } from './site-schema.ts';
import { type StationConfig, stationsSchema } from './station-schema.ts';
import {
  type NightWaterConfig,
  type PipeConfig,
  rulesSchema,
  supplySchema,
  type WaterConfig,
  waterSchema,
} from './water-supply.ts';

/** The whole config file. Every key carries its unit and meaning as metadata. */
export const configSchema = z.strictObject({
  site: siteSchema,
  units: unitsSchema,
  language: languageSchema,
  data_folder: dataFolderSchema,
  morning: morningSchema,
  weather: weatherSchema,
  outputs: outputsSchema,
  supply: supplySchema,
  rules: rulesSchema,
  water: waterSchema,
  sands: sandsSchema,
  beds: bedsSchema.optional().meta({ description: 'The beds, in the order shown.' }),
  beds_file: z
    .string()
    .min(1)
    .optional()
    .meta({ description: 'CSV with the beds, instead of beds; relative to this file.' }),
  stations: stationsSchema.optional().meta({ description: 'The stations.' }),
  stations_file: z
    .string()
    .min(1)
    .optional()
    .meta({ description: 'CSV with the stations, instead of stations; relative to this file.' }),
  keep_offs: keepOffsSchema,
  field_reports: fieldReportsSchema,
  revisions: revisionsSchema,
  news: newsSchema,
  page: pageSchema,
});

export type Config = z.output<typeof configSchema>;

/** The parts of a config that depend on each other, each as far as it could be read. */
export interface ConfigParts extends Connections {
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

/** A config that was read and found sound, in SI units. */
export interface LoadedConfig {
  site: Site;
  units: DisplayUnits;
  language: Language;
  zone: string;
  clock: SiteClock;
  /** Absolute folder of what is remembered. */
  dataFolder: string;
  /** Absolute folder that relative paths in the config start from. */
  baseFolder: string;
  morning: MorningTime;
  weather: WeatherConfig;
  outputs: OutputConfig[];
  page: PageConfig;
  keepOffRules: KeepOffRule[];
  /** First day of the season in every year, `MM-DD`. */
  seasonFrom: string;
  /** Exceptions to no water at night; null: none. */
  nightWater: NightWaterConfig | null;
  /** No water at and below this air temperature. */
  frostLimitC: number;
  /** What is known of the water itself; null: nothing. */
  water: WaterConfig | null;
  /** How reports from the field are held against what was sent. */
  field: FieldRule;
  /** When the daemon works a day's plan out anew. */
  revisions: RevisionRule;
  /** Where news is posted to; null: nowhere. */
  webhook: WebhookConfig | null;
  /** Absolute paths of the files that the config was read from. */
  sources: string[];
  /** What a person should look at, though the config can be used. */
  warnings: ConfigProblem[];
}

/** A sound config, or everything that is wrong with it. */
export type ConfigResult =
  | { ok: true; config: LoadedConfig }
  | { ok: false; problems: ConfigProblem[] };
