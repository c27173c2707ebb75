import { display } from '../../../../adapters/display-units.ts';
import type { SiteClock } from '../../../../adapters/site-clock.ts';
import { keepOffFacts } from '../../../site/gate/keep-offs.ts';
import { lastAuditEntries } from '../../../site/store/audit-log.ts';
import type { Hold } from '../../../site/store/holds-and-keep-offs.ts';
import { type OrderState, openOrders } from '../../../site/store/outbox.ts';
import { sayStanding } from '../../../words/confirm-words.ts';
import { sayKeepOff } from '../../../words/keep-dry-words.ts';
import { readerOf, sayWind } from '../../../words/plan-words.ts';
import type { TodayBed, WaitingItem } from './today-view.ts';
import type { NewestPlan, ViewContext } from './view-context.ts';

/** Weather that is older than this is worth a word. */
const STALE_MS = 6 * 3_600_000;
/** An order that has had no answer for so long is a fault to look at. */
const SILENT_MS = 60_000;
/** A fault of the log shows for this long. */
const FAULT_MS = 12 * 3_600_000;
/** A hold that leaves a bed less than this is a loud reminder. */
const COSTS_SEED_MIN = 60;
const RANK = { danger: 0, warn: 1, note: 2 } as const;

/** Everything that waits for a person, worst first. */
export function readWaiting(
  context: ViewContext,
  newest: NewestPlan | null,
  beds: readonly TodayBed[],
): WaitingItem[] {
  if (newest === null) {
    return [
      item('no_plan', 'danger', 'There is no plan yet: nothing is sent.', null),
      ...faults(context),
    ];
  }
  return [
    ...planItems(context, newest),
    ...holdItems(newest, beds, context),
    ...keepOffItems(context, newest),
    ...questionItems(newest, context),
    ...weatherItems(context, newest),
    ...faults(context),
  ].toSorted((a, b) => RANK[a.severity] - RANK[b.severity]);
}

function planItems(
  { config, nowMs }: ViewContext,
  { stored, standing }: NewestPlan,
): WaitingItem[] {
  const { plan } = stored;
  if (nowMs >= plan.endMs) {
    return [
      item('outdated_plan', 'danger', `The newest plan was for ${plan.siteDay}.`, plan.madeAtMs),
    ];
  }
  if (standing.kind !== 'held') return [];
  const text = `Revision ${plan.revision} waits for you. ${sayStanding(standing, config.clock)}`;
  return [item('held_plan', 'warn', text, plan.madeAtMs)];
}

function holdItems(
  { holds, stored }: NewestPlan,
  beds: readonly TodayBed[],
  { config, nowMs }: ViewContext,
): WaitingItem[] {
  return holds.flatMap((hold): WaitingItem[] => {
    const bedIds = hold.beds === 'all' ? stored.plan.beds.map((bed) => bed.bedId) : [...hold.beds];
    const one = item('hold', 'warn', sayHold(hold, config.clock, nowMs), hold.atMs, bedIds);
    const dry = beds
      .filter((bed) => bedIds.includes(bed.id))
      .filter(({ timeToDryMin }) => timeToDryMin !== null && timeToDryMin <= COSTS_SEED_MIN);
    if (dry.length === 0) return [one];
    const names = dry.map((bed) => `${bed.name} (${bed.dryLine})`).join(', ');
    const text = `THIS HOLD IS ABOUT TO COST SEED: ${names}. Lift it with a fresh plan, or water by hand.`;
    return [
      one,
      item(
        'reminder',
        'danger',
        text,
        hold.atMs,
        dry.map((bed) => bed.id),
      ),
    ];
  });
}

function keepOffItems(
  { config, nowMs }: ViewContext,
  { keepOffs, stored }: NewestPlan,
): WaitingItem[] {
  return keepOffs.map((keepOff) => {
    const bedIds =
      keepOff.beds === 'all' ? stored.plan.beds.map((bed) => bed.bedId) : [...keepOff.beds];
    const { beds } = stored.plan;
    const text = sayKeepOff(keepOffFacts(keepOff), { beds, nowMs, reader: readerOf(config) });
    return item('reminder', 'warn', text, keepOff.atMs, bedIds);
  });
}

function questionItems({ stored }: NewestPlan, { config }: ViewContext): WaitingItem[] {
  const { question } = stored.plan;
  if (question === undefined) return [];
  const severity = question.answered === undefined ? 'warn' : 'note';
  return [
    item(
      'question',
      severity,
      sayWind(question, readerOf(config)),
      question.fromMs,
      question.bedIds,
    ),
  ];
}

function weatherItems({ nowMs, nowFault }: ViewContext, { stored }: NewestPlan): WaitingItem[] {
  if (nowFault !== null) return [item('stale_weather', 'danger', nowFault, null)];
  const { asOfMs, source } = stored.plan.weather;
  if (asOfMs === null || nowMs - asOfMs < STALE_MS) return [];
  const age = display('metric').duration((nowMs - asOfMs) / 1000);
  return [item('stale_weather', 'warn', `The weather (${source}) is ${age} old.`, asOfMs)];
}

function faults({ db, nowMs }: ViewContext): WaitingItem[] {
  const silent = openOrders(db)
    .filter((order) => nowMs - order.atMs > SILENT_MS && order.validUntilMs > nowMs)
    .map((order) => item('fault', 'danger', sayOpenOrder(order), order.atMs));
  const since = lastAuditEntries(db, 60).filter((step) => nowMs - step.atMs < FAULT_MS);
  const failed = since.findLast((step) => step.kind === 'plan_failed');
  const made = since.findLast((step) => step.kind === 'plan_made');
  const stands = failed !== undefined && (made === undefined || made.stepId < failed.stepId);
  return stands
    ? [...silent, item('fault', 'danger', `No plan could be made: ${failed.what}`, failed.atMs)]
    : silent;
}

function sayOpenOrder({ kind, output, attempts, lastDetail }: OrderState): string {
  const what = kind === 'deliver' ? 'The confirmed plan' : 'The hold';
  const detail = lastDetail === '' ? '' : `: ${lastDetail}`;
  return `${what} has not reached ${output} yet, after ${attempts} ${attempts === 1 ? 'attempt' : 'attempts'}${detail}. The daemon keeps trying.`;
}

function item(
  kind: WaitingItem['kind'],
  severity: WaitingItem['severity'],
  text: string,
  atMs: number | null,
  bedIds: string[] = [],
): WaitingItem {
  return { kind, severity, text, bedIds, atMs };
}

/** A standing hold in one line: what, by whom, why, since when, and what it was meant to last. */
export function sayHold(hold: Hold, clock: SiteClock, nowMs: number): string {
  const beds = hold.beds === 'all' ? 'Everything' : hold.beds.join(', ');
  const sinceS = Math.max(0, nowMs - hold.atMs) / 1000;
  const until =
    hold.untilMs === null
      ? ''
      : hold.untilMs <= nowMs
        ? `, was meant to last to ${clock.timeOf(hold.untilMs)}`
        : `, meant to last to ${clock.timeOf(hold.untilMs)}`;
  return `${beds} on hold by ${hold.who} (${hold.why}) since ${clock.timeOf(hold.atMs)}, ${display('metric').duration(sinceS)} so far${until}. Only a fresh plan that is confirmed lifts it.`;
}
