import type { SiteDay } from '../../../adapters/site-clock.ts';
import { WeatherUnreadable } from '../../../adapters/weather/source.ts';
import { STAGES, type StageName } from '../../../calc/growth/stages.ts';
import type { BedPlan, DayPlan } from '../../../calc/schedule/day-plan.ts';
import { lossCoefficient } from '../../../calc/schedule/demand.ts';
import { sumsOfUses } from '../../../calc/schedule/leeway-change.ts';
import type { Site } from '../../../calc/schedule/site.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';
import { whatRan } from '../../delivery/what-ran.ts';
import { grouped } from '../../grouped.ts';
import { siteInStages, trimmedSite } from '../../planning/person-records.ts';
import { completeHours, NoWeather, type PlanningContext } from '../../planning/planning-context.ts';
import { usesOfChange } from '../../site/gate/within-leeway.ts';
import type { Db } from '../../site/store/database.ts';
import {
  type Correction,
  corrections as everyCorrection,
  handWaterSince,
  meterReadings,
} from '../../site/store/hand-records.ts';
import { bedTrims } from '../../site/store/instructions.ts';
import { newestLeewayUse } from '../../site/store/leeway-uses.ts';
import { dryingEvents as seenDryingEvents } from '../../site/store/looks.ts';
import {
  confirmationsSince,
  plansOf,
  type StoredConfirmation,
  type StoredPlan,
} from '../../site/store/plans.ts';
import type { RunState } from '../../site/store/run-state.ts';
import type { Say } from '../../words/language.ts';
import type { Reader } from '../../words/plan-words.ts';
import {
  type DryingEvent,
  dryingEvents,
  type LookRecord,
  type RuledStretch,
  readLooks,
} from './drying-events.ts';
import { type RecordEvent, recordEvents } from './events.ts';
import {
  type DayWeather,
  type Span,
  spanOf,
  weatherOfHours,
  weatherOfPlanned,
} from './record-days.ts';
import { type HandRecord, handRecords, type RunRecord, runRecords } from './water-records.ts';
import { type MeterSpan, meterSpans } from './water-sums.ts';

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

interface DayRecord {
  siteDay: SiteDay;
  startMs: number;
  endMs: number;
  /** Null where nothing is known. */
  weather: DayWeather | null;
  /** The day's first plan; null: there was none. */
  firstPlan: DayPlan | null;
  plans: number;
  confirms: number;
  /** Cycles left out, moved and added within the leeways that were confirmed. */
  followed: { leftOut: number; moved: number; added: number };
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
  /** Why no source tells the hours any more, so that weather is as the plans had it; null: one does. */
  weatherFault: string | null;
}

const DAY_MS = 24 * 3_600_000;

/**
 * Gathers a stretch of days from the store, and their weather as far as a source still has it; what
 * happened beside the water is told in the reader's language.
 */
export async function gatherRecord(
  context: PlanningContext,
  asked: { from: SiteDay; to: SiteDay },
  reader: Reader,
): Promise<SiteRecord> {
  const { db, config, nowMs } = context;
  const { site, clock, field: rule } = config;
  const span = spanOf(asked.from, asked.to, clock);
  const inSpan = (atMs: number) => atMs >= span.fromMs && atMs < span.toMs;
  const plans = span.days.flatMap(({ siteDay }) => plansOf(db, siteDay));
  const plansOfDay = grouped(plans, ({ plan }) => plan.siteDay);
  const confirmations = confirmationsSince(db, span.fromMs).filter(({ stored }) =>
    plansOfDay.has(stored.plan.siteDay),
  );
  const corrections = everyCorrection(db);
  const { hours, fault: weatherFault } = await hoursOf(context, span);
  const days = span.days.map(({ siteDay, startMs, endMs }): DayRecord => {
    const own = plansOfDay.get(siteDay) ?? [];
    const firstPlan = own[0]?.plan ?? null;
    const ofDay = hours.filter((hour) => hour.startMs >= startMs && hour.startMs < endMs);
    const told = weatherOfHours(ofDay);
    const isMeasured = told !== null && told.hoursByOrigin.observed > 0;
    const planned = firstPlan === null ? null : weatherOfPlanned(firstPlan);
    const weather: DayWeather | null = isMeasured ? told : planned;
    const confirmed = confirmations.filter(({ stored }) => stored.plan.siteDay === siteDay);
    const confirms = confirmed.length;
    const followed = usesOfDay(db, confirmed);
    return { siteDay, startMs, endMs, weather, firstPlan, plans: own.length, confirms, followed };
  });

  const planOf = (siteDay: string, revision: number) =>
    plansOfDay.get(siteDay)?.find(({ plan }) => plan.revision === revision)?.plan ?? null;
  const runs = runRecords(whatRan(db, { fromMs: span.fromMs, nowMs, rule }), {
    site,
    corrections: corrections.filter(({ startMs }) => inSpan(startMs)),
    rule,
    nowMs,
    shareOf: ({ run, siteDay, revision }: RunState) => {
      const bed = planOf(siteDay, revision)?.beds.find((one) => one.bedId === run.bedId);
      const cycle = bed?.cycles.find((one) => one.cycle === run.cycle);
      if (cycle === undefined || cycle.netMm <= 0) return { drainedFraction: 0 };
      return { drainedFraction: Math.min(1, Math.max(0, cycle.drainedMm / cycle.netMm)) };
    },
    driftOf: (bedId, startMs) => {
      const bed = plansOfDay
        .get(clock.siteDayOf(startMs))?.[0]
        ?.plan.beds.find((one) => one.bedId === bedId);
      return bed === undefined || bed.grossMm <= 0 ? 0 : 1 - bed.netMm / bed.grossMm;
    },
  }).filter(({ startMs }) => inSpan(startMs));
  const hand = handRecords(
    handWaterSince(db, span.fromMs).filter(({ startMs }) => inSpan(startMs)),
    { site, corrections },
  );
  const looks = readLooks(db, span);
  return {
    site,
    madeAtMs: nowMs,
    span,
    days,
    bedDays: days.flatMap((day) => bedDaysOf(context, day, hours)),
    runs,
    hand,
    events: recordEvents(db, { span, plans, confirmations, reader }),
    looks,
    drying: dryingEvents(
      ruledStretches(confirmations, plans, nowMs),
      seenDryingEvents(db, span).map(({ bedId, seenMs, who, expectedLeftFraction }) => ({
        bedId,
        seenMs,
        who,
        expectedLeftFraction,
      })),
      // Cover that was seen after the days asked for still belongs to what happened in them.
      readLooks(db, { fromMs: span.fromMs, toMs: Number.POSITIVE_INFINITY }),
    ),
    meter: meterSpans(
      meterReadings(db).filter(({ readMs }) => inSpan(readMs)),
      { runs, hand, corrections },
    ),
    corrections: corrections.filter(({ startMs }) => inSpan(startMs)),
    weatherFault,
  };
}

/** The hours of the days, complete; none where no source speaks any more. */
async function hoursOf(
  { weather, config, nowMs }: PlanningContext,
  span: Span,
): Promise<{ hours: EtHour[]; fault: string | null }> {
  const stretch = { fromMs: span.fromMs - 3 * DAY_MS, toMs: span.toMs };
  try {
    const reading = await weather.read({ ...stretch, nowMs });
    return { hours: completeHours(reading, config.site, stretch).hours, fault: null };
  } catch (error) {
    if (!(error instanceof WeatherUnreadable) && !(error instanceof NoWeather)) throw error;
    return { hours: [], fault: error.message };
  }
}

function bedDaysOf(
  { db, config }: PlanningContext,
  day: DayRecord,
  hours: readonly EtHour[],
): BedDay[] {
  const { siteDay, startMs, endMs, weather, firstPlan } = day;
  const ofDay = hours.filter((hour) => hour.startMs >= startMs && hour.startMs < endMs);
  const planned = new Map(firstPlan?.beds.map((bed) => [bed.bedId, bed]));
  const stageOf = new Map(firstPlan?.beds.map((bed) => [bed.bedId, bed.stage]));
  const inStages = siteInStages(config.site, stageOf);
  const site = trimmedSite(
    inStages,
    bedTrims(db).filter(({ atMs }) => atMs < endMs),
  );
  const known = new Set(site.beds.map((bed) => bed.id));
  const gone = [...planned.keys()].filter((bedId) => !known.has(bedId));
  return [...known, ...gone].map((bedId): BedDay => {
    const bed = site.beds.find((one) => one.id === bedId);
    const plan: BedPlan | undefined = planned.get(bedId);
    const fromHours = weather?.from === 'hours' && bed !== undefined && plan !== undefined;
    const lossMm = fromHours
      ? weather.referenceEtMm *
        lossCoefficient(STAGES[plan.stage], ofDay) *
        bed.exposureFraction *
        bed.trimFraction
      : (plan?.lossMm ?? null);
    return {
      bedId,
      siteDay,
      stage: plan?.stage ?? null,
      lossMm,
      lossFrom: lossMm === null ? null : fromHours ? 'hours' : 'plan',
      plannedMm: plan?.grossMm ?? null,
    };
  });
}

/** What was done within the leeways of a day's confirms, in the end. */
function usesOfDay(db: Db, confirmed: readonly StoredConfirmation[]): DayRecord['followed'] {
  const uses = confirmed.flatMap(({ confirmationId, stored, atMs }) => {
    const change = newestLeewayUse(db, confirmationId);
    return usesOfChange({ plan: stored.plan, confirmedMs: atMs }, change);
  });
  return sumsOfUses(uses);
}

/** The confirmed plans, each until the next confirm or its day's end, and not beyond now. */
function ruledStretches(
  confirmations: readonly StoredConfirmation[],
  plans: readonly StoredPlan[],
  nowMs: number,
): RuledStretch[] {
  const confirmed = confirmations.map(({ atMs, stored }, index): RuledStretch => {
    const nextMs = confirmations[index + 1]?.atMs ?? Number.POSITIVE_INFINITY;
    const { plan } = stored;
    const toMs = Math.min(plan.endMs, nextMs, nowMs);
    return { plan, fromMs: atMs, toMs, isUnwatered: false };
  });
  // Where no confirmed plan ruled, the newest plan tells when a bed runs dry without water.
  const made = plans.toSorted((a, b) => a.plan.madeAtMs - b.plan.madeAtMs);
  const unwatered = made.flatMap(({ plan }, index): RuledStretch[] => {
    const fromMs = plan.madeAtMs;
    if (confirmed.some((one) => one.fromMs <= fromMs && one.toMs > fromMs)) return [];
    const confirmedMs = confirmed.find((one) => one.fromMs > fromMs)?.fromMs;
    const nextMs = made[index + 1]?.plan.madeAtMs;
    const toMs = Math.min(plan.endMs, nowMs, confirmedMs ?? plan.endMs, nextMs ?? plan.endMs);
    return [{ plan, fromMs, toMs, isUnwatered: true }];
  });
  return [...confirmed, ...unwatered];
}

/** What in a record is no measurement, one line each. Pure. */
export function estimateLines(record: SiteRecord, say: Say): string[] {
  const { runs, days, site, hand, drying } = record;
  const { beds, stations } = site;
  const runsAssumed = runs.filter((run) => run.basis === 'assumed').length;
  const ratesAssumed = stations.filter((station) => !station.rateMeasured).length;
  const standIn = days.filter(({ weather }) => {
    const by = weather?.hoursByOrigin;
    return by !== undefined && by.carried + by.usual > 0;
  }).length;
  const unmeasured = days.filter(({ weather }) => weather?.hoursByOrigin.observed === 0).length;
  const sandsAssumed = beds.filter((bed) => bed.sand.basis === 'class_default').length;
  const expected = drying.filter(({ from }) => from === 'expected').length;
  const lines: (string | null)[] = [
    say('reports.basis.model'),
    say('reports.basis.volumes'),
    runsAssumed === 0
      ? say('reports.basis.runs_known')
      : say('reports.basis.runs_assumed', { assumed: runsAssumed, runs: runs.length }),
    ratesAssumed === 0
      ? say('reports.basis.rates_measured')
      : say('reports.basis.rates_not_measured', {
          assumed: ratesAssumed,
          stations: stations.length,
        }),
    sandsAssumed === 0
      ? null
      : say('reports.basis.sand', { assumed: sandsAssumed, beds: beds.length }),
    say('reports.basis.weather', { unmeasured, days: days.length, standIn }),
    hand.some((one) => one.stationId === null) ? say('reports.basis.hose') : null,
    expected === 0 ? null : say('reports.basis.drying', { expected, events: drying.length }),
  ];
  return lines.filter((line) => line !== null);
}

/** What should be known about the record itself, one line each. */
export function remarkLines({ weatherFault }: SiteRecord, say: Say): string[] {
  return weatherFault === null
    ? []
    : [say('reports.remark.weather_from_plans', { fault: weatherFault })];
}
