import { display } from '../../../../adapters/display-units.ts';
import { sayNoPlan } from '../../../actions/action.ts';
import { keepOffFacts } from '../../../site/gate/keep-offs.ts';
import { lastAuditEntries } from '../../../site/store/audit-log.ts';
import { type OrderState, openOrders } from '../../../site/store/outbox.ts';
import { sayStanding } from '../../../words/confirm-words.ts';
import { sayKeepOff, sayStopped } from '../../../words/keep-dry-words.ts';
import type { Say } from '../../../words/language.ts';
import { sayTo, sayWind } from '../../../words/plan-words.ts';
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
      item('no_plan', 'danger', sayTo(context.reader)('waiting.no_plan'), null),
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
  { reader, nowMs }: ViewContext,
  { stored, standing }: NewestPlan,
): WaitingItem[] {
  const { plan } = stored;
  const say = sayTo(reader);
  if (nowMs >= plan.endMs) {
    const text = say('waiting.outdated_plan', { siteDay: plan.siteDay });
    return [item('outdated_plan', 'danger', text, plan.madeAtMs)];
  }
  if (standing.kind !== 'held') return [];
  const waits = say('waiting.held_plan', { revision: plan.revision });
  const text = `${waits} ${sayStanding(standing, reader)}`;
  return [item('held_plan', 'warn', text, plan.madeAtMs)];
}

function holdItems(
  { holds, stored }: NewestPlan,
  beds: readonly TodayBed[],
  { reader, nowMs }: ViewContext,
): WaitingItem[] {
  return holds.flatMap((hold): WaitingItem[] => {
    const bedIds = hold.beds === 'all' ? stored.plan.beds.map((bed) => bed.bedId) : [...hold.beds];
    const one = item('hold', 'warn', sayStopped(hold, reader, nowMs), hold.atMs, bedIds);
    const dry = beds
      .filter((bed) => bedIds.includes(bed.id))
      .filter(({ timeToDryMin }) => timeToDryMin !== null && timeToDryMin <= COSTS_SEED_MIN);
    if (dry.length === 0) return [one];
    const names = dry
      .map(({ name, dryLine, dryBand }) => {
        return `${name} (${[dryLine, ...(dryBand === null ? [] : [dryBand])].join('; ')})`;
      })
      .join(', ');
    const text = sayTo(reader)('waiting.stop_costs_seed', { beds: names });
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
  { reader, nowMs }: ViewContext,
  { keepOffs, stored }: NewestPlan,
): WaitingItem[] {
  return keepOffs.map((keepOff) => {
    const bedIds =
      keepOff.beds === 'all' ? stored.plan.beds.map((bed) => bed.bedId) : [...keepOff.beds];
    const { beds } = stored.plan;
    const text = sayKeepOff(keepOffFacts(keepOff), { beds, nowMs, reader });
    return item('reminder', 'warn', text, keepOff.atMs, bedIds);
  });
}

function questionItems({ stored }: NewestPlan, { reader }: ViewContext): WaitingItem[] {
  const { question } = stored.plan;
  if (question === undefined) return [];
  const severity = question.answered === undefined ? 'warn' : 'note';
  return [item('question', severity, sayWind(question, reader), question.fromMs, question.bedIds)];
}

function weatherItems(
  { nowMs, nowFault, reader }: ViewContext,
  { stored }: NewestPlan,
): WaitingItem[] {
  if (nowFault !== null) return [item('stale_weather', 'danger', nowFault, null)];
  const { asOfMs, source } = stored.plan.weather;
  if (asOfMs === null || nowMs - asOfMs < STALE_MS) return [];
  const age = display('metric').duration((nowMs - asOfMs) / 1000);
  const text = sayTo(reader)('waiting.old_weather', { source, age });
  return [item('stale_weather', 'warn', text, asOfMs)];
}

function faults({ db, nowMs, reader }: ViewContext): WaitingItem[] {
  const say = sayTo(reader);
  const silent = openOrders(db)
    .filter((order) => nowMs - order.atMs > SILENT_MS && order.validUntilMs > nowMs)
    .map((order) => item('fault', 'danger', sayOpenOrder(order, say), order.atMs));
  const since = lastAuditEntries(db, 60).filter((step) => nowMs - step.atMs < FAULT_MS);
  const failed = since.findLast((step) => step.kind === 'plan_failed');
  const made = since.findLast((step) => step.kind === 'plan_made');
  const stands = failed !== undefined && (made === undefined || made.stepId < failed.stepId);
  return stands
    ? [...silent, item('fault', 'danger', sayNoPlan(failed.what, say), failed.atMs)]
    : silent;
}

function sayOpenOrder({ kind, output, attempts, lastDetail }: OrderState, say: Say): string {
  const detail = lastDetail === '' ? '' : `: ${lastDetail}`;
  return say('waiting.open_order', { kind, output, attempts, detail });
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
