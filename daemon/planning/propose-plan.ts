import { STAGES } from '../../calc/growth/stages.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { planDay } from '../../calc/schedule/plan-day.ts';
import { plannedSite } from '../../calc/schedule/planned-site.ts';
import { keepOffsOn } from '../config/keep-offs.ts';
import { planNight } from '../config/plan-night.ts';
import { planWater } from '../config/plan-water.ts';
import { fieldFaults } from '../field/field-faults.ts';
import { fieldNotes } from '../field/field-notes.ts';
import { whatRan } from '../field/run-states.ts';
import { planInForce } from '../gate/gate.ts';
import { keepOffNotes, personKeepOffStretches, standingAt } from '../gate/standing-keep-offs.ts';
import { confirmationsSince } from '../store/confirmations.ts';
import { openHolds } from '../store/holds.ts';
import { newsOf } from '../store/news.ts';
import { newestPlanOf } from '../store/plans.ts';
import { dayContext } from './day-context.ts';
import { holdEffect, type Lift } from './hold-keep-offs.ts';
import { formerCycles, keptCycles } from './kept-cycles.ts';
import { lookNotes } from './look-notes.ts';
import { personNotes } from './person-notes.ts';
import type { Hypothetical } from './person-rows.ts';
import type { PlanningContext } from './planning-context.ts';
import { ranBefore } from './ran-before.ts';
import { seasonStart, seasonStartMs } from './season.ts';
import { seasonNotes, withNotes } from './season-notes.ts';
import { germinationOfBeds } from './seedbed-warmth.ts';
import { stillAsked } from './still-asked.ts';
import { unseededBeds, unseededKeepOffs, unseededNotes, withoutUnseeded } from './unseeded-beds.ts';
import { weatherNotes } from './weather-notes.ts';

const HOUR_MS = 3_600_000;
/** Time to read a plan before its first new cycle. */
const READING_MS = 5 * 60_000;

/** A plan that is not kept yet, with what keeping it takes along. */
export interface Proposal {
  plan: DayPlan;
  /** Holds that a confirm of it lifts. */
  lifts: number[];
  /** The newest hold that it knows of, 0 for none. */
  lastHoldId: number;
  /** The hour ahead in which the site loses most. */
  hottestHourMs: number;
}

/**
 * Works out a plan of the current site day from the store as it stands, and remembers nothing.
 *
 * @param asked.hypothetical Rows that a person is thinking of, for a preview.
 * @param asked.isSketch Leaves out what would help and the answers to the wind: same cycles, sooner.
 * @returns A function that gives the proposal. It reads the database without a pause, so that a
 *   caller can propose and keep in one transaction; the weather has been read before.
 * @throws NoWeather, WeatherUnreadable when there is no weather to plan on.
 */
export async function readyToPropose(
  context: PlanningContext,
  asked: { lift: Lift; hypothetical?: Hypothetical; isSketch?: boolean },
): Promise<() => Proposal> {
  const { db, config, weather, nowMs } = context;
  const { clock } = config;
  const day = await dayContext(context, asked.hypothetical);
  const { siteDay, days, site, standings, learned, before } = day;
  const { dayStartMs, nextDayStartMs } = days;
  const { calls, trims, looks } = day.rows;
  const { hours, hoursBefore, reading } = day.read;
  const germination = await germinationOfBeds({ site, clock, weather, nowMs });
  const hottestHourMs = hours
    .filter((hour) => hour.startMs + HOUR_MS > nowMs && hour.startMs < nextDayStartMs)
    .reduce((most, hour) => (hour.referenceEtMm > most.referenceEtMm ? hour : most), {
      startMs: nowMs,
      referenceEtMm: Number.NEGATIVE_INFINITY,
    }).startMs;

  return (): Proposal => {
    const { handWater, keepOffs, askedRotations, windAnswers } = day.rowsNow();
    const holds = openHolds(db);
    const putOn = standingAt(keepOffs, nowMs);
    const held = holdEffect({
      holds,
      lift: asked.lift,
      bedIds: site.beds.map((bed) => bed.id),
      fromMs: nowMs,
      endMs: nextDayStartMs,
    });
    const unseeded = unseededBeds(site.beds, siteDay);
    const firstRunMs = nowMs + READING_MS;
    const inForce = planInForce(db, nowMs);
    const newest = newestPlanOf(db, siteDay);
    const kept = keptCycles(inForce, nowMs, firstRunMs);
    const ran = whatRan(db, { fromMs: dayStartMs, nowMs, rule: config.field });
    const planned = planDay({
      site,
      stages: STAGES,
      siteDay,
      revision: (newest?.plan.revision ?? 0) + 1,
      madeAtMs: nowMs,
      ...days,
      startMs: nowMs,
      firstRunMs,
      kept,
      asked: stillAsked(askedRotations, confirmationsSince(db, dayStartMs), { nowMs, firstRunMs }),
      windAnswer: windAnswers.at(-1) ?? null,
      former: formerCycles(inForce, newest, firstRunMs),
      ranBefore: ranBefore(db, {
        site,
        dayStartMs,
        seasonStartMs: seasonStartMs(siteDay, config.seasonFrom, clock),
        nowMs,
        rule: config.field,
        kept,
        hypothetical: asked.hypothetical?.handWater ?? [],
      }),
      hours,
      weather: { source: reading.source, asOfMs: reading.asOfMs },
      keepOffs: [
        ...keepOffsOn(siteDay, config, clock),
        ...held.keepOffs,
        ...unseededKeepOffs(unseeded, { startMs: dayStartMs, endMs: days.afterNextDayStartMs }),
        ...personKeepOffStretches(putOn, {
          bedIds: site.beds.map((bed) => bed.id),
          fromMs: nowMs,
          endMs: nextDayStartMs,
        }),
      ],
      stores: day.stores,
      statesNow: day.statesNow(handWater),
      notes: [
        ...held.notes,
        ...unseededNotes(unseeded),
        ...fieldNotes(ran, {
          faults: fieldFaults(ran, { stations: site.stations, rule: config.field }),
          nowMs,
        }),
        ...weatherNotes(reading, nowMs),
        ...personNotes({
          site,
          standings,
          germination,
          call: calls.at(-1) ?? null,
          trims,
          handWater: before === null ? [] : handWater.filter((one) => one.startMs >= dayStartMs),
          looks,
          nowMs,
          clock,
        }),
        ...lookNotes(site, looks, learned),
      ],
      nightWater: planNight(config.nightWater, siteDay, clock),
      frostLimitC: config.frostLimitC,
      water: planWater(config.water, siteDay, clock),
      hoursBefore,
      germination,
      isSketch: asked.isSketch ?? false,
    });
    const madeFor = plannedSite(config.site, clock.zone);
    const plan = withNotes(withoutUnseeded({ ...planned, madeFor }, unseeded), [
      ...newsOf(db, 'away', siteDay).map(({ text }) => ({
        code: 'missed_away' as const,
        bedId: null,
        text,
      })),
      ...keepOffNotes(putOn),
      ...seasonNotes(planned, seasonStart(siteDay, config.seasonFrom)),
    ]);
    return { plan, lifts: held.lifts, lastHoldId: holds.at(-1)?.holdId ?? 0, hottestHourMs };
  };
}
