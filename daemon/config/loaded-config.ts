import type { DisplayUnits } from '../../adapters/display-units.ts';
import type { WebhookConfig } from '../../adapters/news-webhook.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { FieldRule } from '../field/run-state.ts';
import type { MorningTime } from '../time/due.ts';
import type { KeepOffRule } from './keep-offs.ts';
import type { NightWaterConfig } from './night-water-schema.ts';
import type { OutputConfig } from './outputs-schema.ts';
import type { PageConfig } from './page-schema.ts';
import type { ConfigProblem } from './problems.ts';
import type { RevisionRule } from './revisions-schema.ts';
import type { WaterConfig } from './water-schema.ts';
import type { WeatherConfig } from './weather-schema.ts';

/** A config that was read and found sound, in SI units. */
export interface LoadedConfig {
  site: Site;
  units: DisplayUnits;
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
