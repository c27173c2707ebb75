import type { SiteDay } from '../../adapters/site-clock.ts';
import type { StageName } from '../../calc/growth/stages.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { Correction } from '../store/corrections.ts';
import type { DayWeather } from './day-weather.ts';
import type { DryingEvent } from './drying-events.ts';
import type { RecordEvent } from './events.ts';
import type { HandRecord } from './hand-record.ts';
import type { LookRecord } from './look-record.ts';
import type { MeterSpan } from './meter-spans.ts';
import type { RunRecord } from './run-record.ts';
import type { Span } from './span.ts';

/** One bed on one day, beside its runs. */
export interface BedDay {
  bedId: string;
  siteDay: SiteDay;
  /** Null where no plan of the day knows the bed. */
  stage: StageName | null;
  /** Null where neither weather nor plan is known. */
  lossMm: number | null;
  /** Whether the loss is worked out from the day's hours, or is the morning plan's own. */
  lossFrom: 'hours' | 'plan' | null;
  /** Gross depth of the day's first plan, mean over the bed. */
  plannedMm: number | null;
}

export interface DayRecord {
  siteDay: SiteDay;
  startMs: number;
  endMs: number;
  /** Null where nothing is known. */
  weather: DayWeather | null;
  /** The day's first plan; null: there was none. */
  firstPlan: DayPlan | null;
  plans: number;
  confirms: number;
}

/** Everything that reports and hand-over are made of, in SI units. */
export interface SiteRecord {
  site: Site;
  madeAtMs: number;
  span: Span;
  days: DayRecord[];
  bedDays: BedDay[];
  runs: RunRecord[];
  hand: HandRecord[];
  events: RecordEvent[];
  looks: LookRecord[];
  drying: DryingEvent[];
  meter: MeterSpan[];
  corrections: Correction[];
  /** What should be known about the record itself. */
  remarks: string[];
}
