import type { SiteDay } from '../../adapters/site-clock.ts';
import { WeatherUnreadable } from '../../adapters/weather/source.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import type { BedPlan } from '../../calc/schedule/day-plan.ts';
import { lossCoefficient } from '../../calc/schedule/loss-coefficient.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';
import type { RunState } from '../field/run-state.ts';
import { whatRan } from '../field/run-states.ts';
import { grouped } from '../grouped.ts';
import { learnedBeds, siteAsLearned } from '../planning/learned-beds.ts';
import { completeHours, NoWeather } from '../planning/plan-weather.ts';
import type { PlanningContext } from '../planning/planning-context.ts';
import { siteInStages, trimmedSite } from '../planning/site-in-stages.ts';
import { bedTrims } from '../store/bed-trims.ts';
import { confirmationsSince, type StoredConfirmation } from '../store/confirmations.ts';
import { corrections as everyCorrection } from '../store/corrections.ts';
import { dryingEvents as seenDryingEvents } from '../store/drying-events.ts';
import { handWaterSince } from '../store/hand-water.ts';
import { everyLook } from '../store/looks.ts';
import { meterReadings } from '../store/meter-readings.ts';
import { plansOf, type StoredPlan } from '../store/plans.ts';
import { readerOf } from '../words/reader.ts';
import { type DayWeather, weatherOfHours, weatherOfPlanned } from './day-weather.ts';
import { dryingEvents, type RuledStretch } from './drying-events.ts';
import { recordEvents } from './events.ts';
import { handRecords } from './hand-record.ts';
import { meterSpans } from './meter-spans.ts';
import { readLooks } from './read-looks.ts';
import { runRecords } from './run-record.ts';
import type { BedDay, DayRecord, SiteRecord } from './site-record.ts';
import { type Span, spanOf } from './span.ts';

const DAY_MS = 24 * 3_600_000;

/** Gathers a stretch of days from the store, and their weather as far as a source still has it. */
export async function gatherRecord(
  context: PlanningContext,
  asked: { from: SiteDay; to: SiteDay },
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
  const remarks: string[] = [];
  const hours = await hoursOf(context, span, remarks);
  const days = span.days.map(({ siteDay, startMs, endMs }): DayRecord => {
    const own = plansOfDay.get(siteDay) ?? [];
    const firstPlan = own[0]?.plan ?? null;
    const ofDay = hours.filter((hour) => hour.startMs >= startMs && hour.startMs < endMs);
    const told = weatherOfHours(ofDay);
    const isMeasured = told !== null && told.hoursByOrigin.observed > 0;
    const planned = firstPlan === null ? null : weatherOfPlanned(firstPlan);
    const weather: DayWeather | null = isMeasured ? told : planned;
    const confirms = confirmations.filter(({ stored }) => stored.plan.siteDay === siteDay).length;
    return { siteDay, startMs, endMs, weather, firstPlan, plans: own.length, confirms };
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
    events: recordEvents(db, { span, plans, confirmations, reader: readerOf(config) }),
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
    remarks,
  };
}

/** The hours of the days, complete; none where no source speaks any more. */
async function hoursOf(
  { weather, config, nowMs }: PlanningContext,
  span: Span,
  remarks: string[],
): Promise<EtHour[]> {
  const stretch = { fromMs: span.fromMs - 3 * DAY_MS, toMs: span.toMs };
  try {
    const reading = await weather.read({ ...stretch, nowMs });
    return completeHours(reading, config.site, stretch).hours;
  } catch (error) {
    if (!(error instanceof WeatherUnreadable) && !(error instanceof NoWeather)) throw error;
    remarks.push(`Weather is told as the plans had it: ${error.message}`);
    return [];
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
  const learned = learnedBeds(
    inStages,
    everyLook(db).filter(({ seenMs }) => seenMs < endMs),
  );
  const site = trimmedSite(
    siteAsLearned(inStages, learned),
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
