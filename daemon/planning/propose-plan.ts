import type { ConfirmedPlan } from '../../adapters/contract.ts';
import { standingCycles } from '../../adapters/plan-document.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import type { AskedRotation } from '../../calc/schedule/asked-rotations.ts';
import { type DayPlan, plannedSite } from '../../calc/schedule/day-plan.ts';
import type { FormerCycle } from '../../calc/schedule/former-places.ts';
import { changedRuns, cyclesOfPlan } from '../../calc/schedule/leeway-change.ts';
import { planDay } from '../../calc/schedule/plan-day.ts';
import { inReadingOrder, type PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { KeptCycle } from '../../calc/schedule/run.ts';
import { fieldFaults, fieldNotes } from '../delivery/field-faults.ts';
import { whatRan } from '../delivery/what-ran.ts';
import { keepOffsOn } from '../site/config/keep-offs.ts';
import { planNight, planWater } from '../site/config/water-supply.ts';
import { planInForce } from '../site/gate/gate.ts';
import { keepOffNotes, personKeepOffStretches, standingAt } from '../site/gate/keep-offs.ts';
import { alertsOf } from '../site/store/alerts.ts';
import { openHolds } from '../site/store/holds-and-keep-offs.ts';
import {
  confirmationsSince,
  newestPlanOf,
  type StoredConfirmation,
  type StoredPlan,
} from '../site/store/plans.ts';
import { ranBefore, seasonStart, seasonStartMs } from './applied-water.ts';
import { lookableBeds, lookNotes } from './learned-beds.ts';
import { holdEffect, type Lift } from './open-holds.ts';
import { type Hypothetical, personNotes } from './person-records.ts';
import { futuresOf, type PlanningContext, weatherNotes } from './planning-context.ts';
import {
  germinationOfBeds,
  unseededBeds,
  unseededKeepOffs,
  unseededNotes,
  withoutUnseeded,
} from './seeding.ts';
import { dayContext } from './site-now.ts';

const HOUR_MS = 3_600_000;
/** Time to read a plan before its first new cycle. */
export const READING_MS = 5 * 60_000;

/** A plan that is not kept yet, with what keeping it takes along. */
export interface Proposal {
  plan: DayPlan;
  /** Holds that a confirm of it lifts. */
  lifts: number[];
  /** The newest hold that it knows of, 0 for none. */
  lastHoldId: number;
  /** The hour ahead in which the site loses most. */
  hottestHourMs: number;
  /** Until when the weather that it rests on was measured; null: nobody measures. */
  measuredMs: number | null;
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
export async function prepareProposal(
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
  const futures = futuresOf(day.read, site, context);
  const germination = await germinationOfBeds({ site, clock, weather, nowMs });
  const hottestHourMs = hours
    .filter((hour) => hour.startMs + HOUR_MS > nowMs && hour.startMs < nextDayStartMs)
    .reduce((most, hour) => (hour.referenceEtMm > most.referenceEtMm ? hour : most), {
      startMs: nowMs,
      referenceEtMm: Number.NEGATIVE_INFINITY,
    }).startMs;

  const measured = [...hoursBefore, ...hours].filter(
    ({ origin, startMs }) => origin === 'observed' && startMs <= nowMs,
  );
  const measuredMs = measured.length === 0 ? null : (measured.at(-1)?.startMs ?? 0) + HOUR_MS;

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
      weathers: futures.members,
      weather: { futuresBasis: futures.basis, source: reading.source, asOfMs: reading.asOfMs },
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
      lookable: { bedIds: lookableBeds(site, unseeded), eye: learned.eye },
      isSketch: asked.isSketch ?? false,
    });
    const madeFor = plannedSite(config.site, clock.zone);
    const plan = withNotes(withoutUnseeded({ ...planned, madeFor }, unseeded), [
      ...alertsOf(db, 'away', siteDay).map(({ text }) => ({
        code: 'missed_away' as const,
        bedId: null,
        text,
      })),
      ...keepOffNotes(putOn),
      ...seasonNotes(planned, seasonStart(siteDay, config.seasonFrom)),
    ]);
    const lastHoldId = holds.at(-1)?.holdId ?? 0;
    return { plan, lifts: held.lifts, lastHoldId, hottestHourMs, measuredMs };
  };
}

/**
 * Cycles of the plan in force that run over `fromMs` or begin before `untilMs`: a new plan leaves
 * them as they are, because they may have begun before anyone can confirm it. Pure.
 */
function keptCycles(inForce: ConfirmedPlan | null, fromMs: number, untilMs: number): KeptCycle[] {
  if (inForce === null) return [];
  return standingCycles(inForce).flatMap((cycle) => {
    if (cycle.endMs <= fromMs || cycle.startMs >= untilMs) return [];
    const { bedId, startMs, endMs, grossMm, netMm, rotations, driftLossFraction } = cycle;
    const runs = changedRuns([cycle], inForce.plan);
    return [{ bedId, startMs, endMs, grossMm, netMm, rotations, driftLossFraction, runs }];
  });
}

/**
 * Cycles from `fromMs` on of the plan that people look at: a new plan leaves them there where it can.
 * That is the newest plan where a person's act or the morning has made it, so that a second act
 * changes no more than it has to; a revision that the weather asked for and nobody confirmed is none
 * to hold on to: then it is the plan in force. Pure.
 */
export function formerCycles(
  inForce: ConfirmedPlan | null,
  newest: Pick<StoredPlan, 'cause' | 'plan'> | null,
  fromMs: number,
): FormerCycle[] {
  const isLookedAt =
    newest !== null &&
    (inForce === null ||
      (newest.cause !== 'weather' && newest.plan.madeAtMs > inForce.plan.madeAtMs));
  const looked = isLookedAt ? cyclesOfPlan(newest.plan) : [];
  const stand = isLookedAt || inForce === null ? looked : standingCycles(inForce);
  return stand.flatMap(({ bedId, startMs, runs }) => {
    if (runs.length === 0 || startMs < fromMs) return [];
    const turns = runs.map(({ stationId, rotations }) => ({ stationId, rotations }));
    return [{ bedId, startMs, runs: turns }];
  });
}

/** What was asked for longer ago than this is no longer "now". */
const FORGOTTEN_MS = 2 * 3_600_000;

/**
 * The rotations asked for that a new plan has to have: those that no confirmed plan has run or is
 * about to run before the new one can. Pure.
 */
function stillAsked(
  asked: readonly AskedRotation[],
  confirmations: readonly StoredConfirmation[],
  at: { nowMs: number; firstRunMs: number },
): AskedRotation[] {
  const served = ({ bedId, askedMs }: AskedRotation) =>
    confirmations.some(({ atMs, stored }) =>
      stored.plan.beds
        .filter((bed) => bed.bedId === bedId)
        .flatMap((bed) => bed.cycles)
        .some(
          ({ startMs, reasons }) =>
            startMs >= atMs &&
            startMs < at.firstRunMs &&
            reasons.some((one) => one.code === 'asked_for' && one.atMs === askedMs),
        ),
    );
  return asked.filter((one) => at.nowMs - one.askedMs < FORGOTTEN_MS && !served(one));
}

/** The season's water, on every plan of a site that has an allowance. Pure. */
export function seasonNotes({ seasonWater }: DayPlan, sinceDay: string): PlanWarning[] {
  if (seasonWater === undefined) return [];
  return [{ code: 'season_allowance', bedId: null, ...seasonWater, sinceDay }];
}

/** The plan with notes that can only be told once it is made, in their place among the others. */
export function withNotes(plan: DayPlan, notes: readonly PlanWarning[]): DayPlan {
  return { ...plan, warnings: inReadingOrder([...plan.warnings, ...notes]) };
}
