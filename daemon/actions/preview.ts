import type { BedPlan, DayPlan } from '../../calc/schedule/day-plan.ts';
import type { PlanningContext } from '../planning/planning-context.ts';
import { type Proposal, prepareProposal } from '../planning/propose-plan.ts';
import { changeLines, dryLines } from '../words/confirm-words.ts';
import { type Reader, sayTo } from '../words/plan-words.ts';
import { sayTold } from '../words/told.ts';
import { sayWarning } from '../words/warning-words.ts';
import type { Action } from './action.ts';
import type { BedFigures, BedPreview, Preview } from './preview-figures.ts';

const HOUR_MS = 3_600_000;

/**
 * What an action would make of the day, against the day as it would be planned without it: both are
 * really planned from now, and nothing is kept.
 *
 * @param before The day without it, where the caller has it already.
 * @param reader Whom it is told to.
 * @throws NoWeather, WeatherUnreadable when there is no weather to plan on.
 */
export async function preview(
  context: PlanningContext,
  action: Action,
  before: Proposal,
  reader: Reader,
): Promise<Preview> {
  const propose = await prepareProposal(context, {
    lift: action.lift,
    hypothetical: action.hypothetical,
    isSketch: true,
  });
  const after = propose();
  const { nowMs } = context;
  const { hottestHourMs } = after;
  const figures = (plan: DayPlan, bed: BedPlan) => figuresOf(plan, bed, hottestHourMs, reader);
  const beds = after.plan.beds.map((bed): BedPreview => {
    const was = before.plan.beds.find((one) => one.bedId === bed.bedId);
    const is = figures(after.plan, bed);
    const old = was === undefined ? null : figures(before.plan, was);
    return {
      id: bed.bedId,
      name: bed.name,
      changed: JSON.stringify(old) !== JSON.stringify(is),
      before: old,
      after: is,
    };
  });
  return {
    line: action.told.map((told) => sayTold(told, reader)).join(' '),
    dry: dryLines(
      beds.map((bed) => ({
        name: bed.name,
        beforeMin: bed.before?.minutesBelowDryLimit ?? null,
        afterMin: bed.after.minutesBelowDryLimit,
      })),
      sayTo(reader),
    ),
    hottestHourMs,
    beds,
    before: sumsOf(before.plan, reader),
    after: sumsOf(after.plan, reader),
    lines: changeLines(before.plan, after.plan, { fromMs: nowMs, reader }),
  };
}

/** The day as it would be planned now, with nothing changed. */
export async function dayAsItIs(context: PlanningContext): Promise<Proposal> {
  return (await prepareProposal(context, { lift: 'none', isSketch: true }))();
}

function figuresOf(plan: DayPlan, bed: BedPlan, hottestHourMs: number, reader: Reader): BedFigures {
  const { show } = reader;
  const say = sayTo(reader);
  const { startMs, stepMin, storeMm } = bed.expectedStore;
  const stepMs = stepMin * 60_000;
  const atHottest = storeMm.filter((_, step) => {
    const atMs = startMs + step * stepMs;
    return atMs >= hottestHourMs && atMs <= hottestHourMs + HOUR_MS;
  });
  const lowestAtHottestMm = atHottest.length === 0 ? bed.storeNowMm : Math.min(...atHottest);
  const runMin = runMinutes(plan, bed);
  const cycles = bed.cycles.length;
  return {
    cycles,
    runMin,
    netMm: bed.netMm,
    percentOfLoss: bed.percentOfLoss,
    lowestAtHottestMm,
    lowestStoreMm: bed.lowestStoreMm,
    minutesBelowDryLimit: bed.minutesBelowDryLimit,
    drainedMm: bed.drainedMm,
    words: {
      cycles: say('figure.cycles', { cycles }),
      minutes: show.duration(runMin * 60),
      net: show.depth(bed.netMm),
      percentOfLoss:
        bed.percentOfLoss === null
          ? '-'
          : say('figure.percent_of_loss', { pct: Math.round(bed.percentOfLoss) }),
      lowest: show.depth(lowestAtHottestMm),
    },
  };
}

/** Minutes that each station of the bed runs: of each cycle its longest run. */
function runMinutes(plan: DayPlan, bed: BedPlan): number {
  const longest = new Map<number, number>();
  for (const run of plan.runs) {
    if (run.bedId !== bed.bedId) continue;
    longest.set(run.cycle, Math.max(longest.get(run.cycle) ?? 0, run.runS));
  }
  return [...longest.values()].reduce((sum, runS) => sum + runS / 60, 0);
}

function sumsOf(plan: DayPlan, reader: Reader): Preview['after'] {
  const sum = (of: (bed: BedPlan) => number) =>
    plan.beds.reduce((total, bed) => total + of(bed), 0);
  return {
    cycles: sum((bed) => bed.cycles.length),
    runMin: sum((bed) => runMinutes(plan, bed)),
    shortages: plan.warnings
      .filter(({ code }) => code === 'does_not_fit' || code === 'rotation_unplaced')
      .map((warning) => sayWarning(warning, plan, reader)),
  };
}
