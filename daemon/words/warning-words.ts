import type { WeightSummary } from '../../calc/looks/weight-summary.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { HeldBeds, PlanWarning, RevisionChange } from '../../calc/schedule/plan-warning.ts';
import { type ToldDry, withBand } from './dry-band-words.ts';
import { sayFieldFault } from './field-fault-words.ts';
import { sayKeepOff } from './keep-dry-words.ts';
import type { Say } from './language.ts';
import { sayLearned } from './look-words.ts';
import {
  bedName,
  type Reader,
  sayShortageCause,
  sayTo,
  sayWind,
  stageWords,
  wordedBefore,
} from './plan-words.ts';
import { sayStagePrompt } from './stage-words.ts';
import { sayDayCall, sayFill, sayStale } from './weather-words.ts';

/** What of a plan its warnings are told from. */
export type ToldPlan = Pick<
  DayPlan,
  'siteDay' | 'madeAtMs' | 'beds' | 'shortages' | 'question' | 'warnings'
>;

/** A warning in words. */
export interface WarningText {
  code: PlanWarning['code'];
  bedId: string | null;
  text: string;
}

/** The plan's warnings in words, in the order in which a person has to read them. */
export function warningTexts(plan: ToldPlan, reader: Reader): WarningText[] {
  return plan.warnings.map((warning) => ({
    code: warning.code,
    bedId: warning.bedId,
    text: sayWarning(warning, plan, reader),
  }));
}

/** A bed's drying as the plan has it, where the warning tells that very time. */
function dryIn(
  { beds }: Pick<ToldPlan, 'beds'>,
  { bedId, afterMs }: { bedId: string | null; afterMs: number },
): ToldDry {
  const bed = beds.find((one) => one.bedId === bedId);
  return bed?.dryAtMs === afterMs ? bed : { dryAtMs: afterMs };
}

/** One warning of a plan. */
export function sayWarning(
  warning: PlanWarning,
  plan: Omit<ToldPlan, 'warnings'>,
  reader: Reader,
): string {
  const before = wordedBefore(warning, 'text');
  if (before !== null) return before;
  const say = sayTo(reader);
  const { clock, show } = reader;
  const { timeOf } = clock;
  const bed = warning.bedId === null ? '' : bedName(plan, warning.bedId);
  const bedsOf = (ids: readonly string[]) => ids.map((id) => bedName(plan, id)).join(', ');
  switch (warning.code) {
    case 'missed_away':
      return warning.text;
    case 'revised': {
      const { moveMin, beforeMs, afterMs, changes } = warning;
      return say('warning.revised', {
        bed,
        by: show.duration(Math.round(Math.abs(moveMin)) * 60),
        direction: moveMin < 0 ? 'earlier' : 'later',
        after: withBand(timeOf(afterMs), dryIn(plan, warning), plan.madeAtMs, reader),
        before: timeOf(beforeMs),
        changes: changes.map((change) => sayRevisionChange(change, say, reader)).join(', '),
      });
    }
    case 'catch_up':
      return say('warning.catch_up');
    case 'bed_held':
      return sayHeld(warning.stop, bedsOf, reader);
    case 'field_fault':
      return sayFaults(warning, bed, reader);
    case 'keep_off':
      return sayKeepOff(warning.keepOff, { beds: plan.beds, nowMs: plan.madeAtMs, reader });
    case 'not_seeded':
      return warning.seededOn === null
        ? say('warning.not_seeded.no_day', { bed })
        : say('warning.not_seeded.later', { bed, day: warning.seededOn });
    case 'does_not_fit': {
      const short = plan.shortages.find(
        ({ bedId, fromMs }) => bedId === warning.bedId && fromMs === warning.fromMs,
      );
      if (short === undefined) return bed;
      return say('warning.does_not_fit', {
        bed,
        from: timeOf(short.fromMs),
        to: timeOf(short.toMs),
        dryMin: short.minutesBelowDryLimit,
        why: sayShortageCause(short, reader),
      });
    }
    case 'rotation_unplaced':
      return say('warning.rotation_unplaced', { bed, who: warning.who });
    case 'season_allowance': {
      const { allowedL, usedL, plannedL, leftL, sinceDay } = warning;
      return say(`warning.season_allowance.${leftL < 0 ? 'over' : 'left'}`, {
        allowed: show.volume(allowedL),
        since: sinceDay,
        used: show.volume(usedL),
        planned: show.volume(plannedL),
        left: show.volume(Math.abs(leftL)),
      });
    }
    case 'wind_question':
    case 'wind_answered':
      return plan.question === undefined ? '' : sayWind(plan.question, reader);
    case 'night_water':
      return say('warning.night_water', {
        beds: bedsOf(warning.bedIds),
        exception: say(`night.${warning.exception}`),
      });
    case 'deep_refill_missed':
      return say('warning.deep_refill_missed', {
        start: timeOf(warning.refillStartMs),
        stage: warning.refillEndMs <= warning.firstRunMs ? 'over' : 'begun',
        firstRun: timeOf(warning.firstRunMs),
      });
    case 'drains':
      return say('warning.drains', {
        bed,
        drained: show.depth(warning.drainedMm),
        net: show.depth(warning.netMm),
      });
    case 'stations_differ':
      return say('warning.stations_differ', {
        bed,
        most: warning.mostStationId,
        mostDepth: show.depth(warning.mostMm),
        least: warning.leastStationId,
        leastDepth: show.depth(warning.leastMm),
        turnDepth: show.depth(warning.mostTurnMm),
      });
    case 'long_runs': {
      const { mostRunS } = warning;
      const values = {
        bed,
        rotations: warning.rotations,
        minutes: (warning.runS / 60).toFixed(0),
        depth: show.depth(warning.grossMm),
        rotationS: warning.rotationS,
        rotationDepth: show.depth(warning.rotationMm),
        station: warning.stationId,
        rate: show.depth(warning.rateMmPerH),
      };
      return mostRunS === null
        ? say('warning.long_runs', values)
        : say('warning.long_runs.capped', { ...values, mostMinutes: (mostRunS / 60).toFixed(0) });
    }
    case 'day_call':
      return say('warning.day_call', { who: warning.who, call: sayDayCall(warning, reader) });
    case 'hand_water':
      return say('warning.hand_water', {
        bed,
        given: warning.given
          .map(({ grossMm, atMs, who }) =>
            say('hand_water.given', { depth: show.depth(grossMm), at: timeOf(atMs), who }),
          )
          .join('; '),
      });
    case 'looks':
      return warning.learned === null
        ? say('warning.looks.not_taught', { bed, looks: warning.looks })
        : sayLooks(warning.learned, { bed, looks: warning.looks, say });
    case 'runs_assumed':
      return say('warning.runs_assumed', {
        runs: warning.runs,
        last: timeOf(warning.lastStartMs),
      });
    case 'slow_patch': {
      const { patch, shareFraction } = warning;
      return say('warning.slow_patch', {
        bed,
        ruling: stageWords(warning.ruling, say),
        stage: stageWords(warning.stage, say),
        patch:
          shareFraction === null
            ? patch
            : say('slow_patch.share', { patch, pct: Math.round(100 * shareFraction) }),
      });
    }
    case 'trim':
      return say('warning.trim', {
        bed,
        pct: Math.round(100 * warning.trimFraction),
        who: warning.who,
        why: warning.why,
      });
    case 'weather_stale':
      return sayStale(warning, plan.siteDay, reader);
    case 'weather_checked':
      return say('warning.weather_checked', {
        rule: warning.rule,
        where: warning.where,
        what: warning.what,
        done: warning.done,
        more: warning.more,
      });
    case 'weather_carried':
    case 'weather_usual':
      return say(`warning.${warning.code}`, { hours: warning.hours });
    case 'weather_filled':
      return say('warning.weather_filled', {
        field: say(`field.${warning.field}`),
        hours: warning.hours,
        how: sayFill(warning.how, reader),
      });
    case 'rate_assumed':
      return say('warning.rate_assumed', {
        assumed: warning.assumed,
        stations: warning.stations,
      });
    case 'sand_assumed':
      return say('warning.sand_assumed', { assumed: warning.assumed, beds: warning.beds });
    case 'stage_prompt':
      return say('warning.stage_prompt', {
        beds: bedsOf(warning.bedIds),
        ruling: stageWords(warning.ruling, say),
        prompt: sayStagePrompt(warning.prompt, reader),
      });
  }
}

function sayRevisionChange(change: RevisionChange, say: Say, { show }: Reader): string {
  switch (change.kind) {
    case 'wind':
      return say('revised.wind', {
        is: show.speed(change.isMPerS),
        was: show.speed(change.wasMPerS),
      });
    case 'high':
      return say('revised.high', { is: show.temp(change.isC), was: show.temp(change.wasC) });
    case 'rain':
    case 'store':
      return say(`revised.${change.kind}`, {
        is: show.depth(change.isMm),
        was: show.depth(change.wasMm),
      });
    case 'faster':
    case 'slower':
      return say(`revised.${change.kind}`);
  }
}

function sayHeld(
  { beds, who, why, sinceMs, effect, untilMs }: HeldBeds,
  bedsOf: (ids: readonly string[]) => string,
  reader: Reader,
): string {
  const say = sayTo(reader);
  const { timeOf } = reader.clock;
  return say(`warning.bed_held.${effect}`, {
    beds: beds === 'all' ? say('held.everything') : bedsOf(beds),
    who,
    since: timeOf(sinceMs),
    why,
    until: untilMs === null ? '-' : timeOf(untilMs),
  });
}

function sayFaults(
  warning: Extract<PlanWarning, { code: 'field_fault' }>,
  name: string,
  reader: Reader,
): string {
  const say = sayTo(reader);
  const { clock, show } = reader;
  const bed = warning.bedId === null ? say('field_fault.elsewhere') : name;
  if ('state' in warning) {
    const times = new Set(warning.starts.map(({ startMs }) => clock.timeOf(startMs)));
    return say(`warning.field_fault.${warning.state}`, { bed, times: [...times].join(', ') });
  }
  const faults = warning.faults.map((fault) =>
    say('field_fault.at', {
      at: clock.timeOf(fault.startMs),
      station: fault.stationId,
      what: sayFieldFault(fault, say, show),
    }),
  );
  return say('warning.field_fault', { bed, faults: faults.join('; '), more: warning.more });
}

/** What a bed's looks have changed, with how many of them were not believed. */
function sayLooks(
  learned: WeightSummary & { setAside: number },
  { bed, looks, say }: { bed: string; looks: number; say: Say },
): string {
  const { setAside: aside } = learned;
  const what = sayLearned(learned, say);
  return what === null
    ? say('warning.looks.as_sand', { bed, looks, aside })
    : say('warning.looks.taught', { bed, looks, learned: what, aside });
}
