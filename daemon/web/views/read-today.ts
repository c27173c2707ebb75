import { display } from '../../../adapters/display-units.ts';
import { shortDigest } from '../../../adapters/plan-document.ts';
import { changesNothing, NO_CALL } from '../../../calc/sky/day-call.ts';
import { CAUTIONS, cautionsFor } from '../../gate/cautions.ts';
import { planInForce } from '../../gate/gate.ts';
import { planStanding } from '../../gate/plan-standing.ts';
import { dryUntilMs, keepOffFacts, standingAt } from '../../gate/standing-keep-offs.ts';
import { newestConfirmation } from '../../store/confirmations.ts';
import { dayCallsOf } from '../../store/day-calls.ts';
import { openHolds } from '../../store/holds.ts';
import { personKeepOffs } from '../../store/keep-offs.ts';
import { newestOrders, type OrderState } from '../../store/owed.ts';
import { newestPlan, type StoredPlan } from '../../store/plans.ts';
import { storeVersion } from '../../store/version.ts';
import { changeLines } from '../../words/change-lines.ts';
import { noticeTexts } from '../../words/notice-texts.ts';
import { readerOf } from '../../words/reader.ts';
import { sayCause } from '../../words/say-cause.ts';
import { sayDayCall } from '../../words/say-day-call.ts';
import { sayKeepOff } from '../../words/say-keep-off.ts';
import { sayStanding } from '../../words/standing.ts';
import { warningTexts } from '../../words/warning-words.ts';
import { readBeds } from './read-beds.ts';
import { readDay, readQuestion, readShortages } from './read-day.ts';
import { readLine } from './read-line.ts';
import { readWaiting } from './read-waiting.ts';
import { sayHold } from './say-hold.ts';
import type {
  DayCallView,
  DeliveryView,
  InForceView,
  NewestPlanView,
  PlanHead,
  TodayView,
} from './today-view.ts';
import type { NewestPlan, ViewContext } from './view-context.ts';

/** Everything that the first screen shows, read from the store as it stands. */
export function readToday(context: ViewContext): TodayView {
  const { db, config, nowMs } = context;
  const { clock, site, zone, units } = config;
  const newest = readNewest(context);
  const line = newest === null ? null : readLine(context, newest);
  const beds = newest === null || line === null ? [] : readBeds(context, newest, line);
  const plan = newest?.stored.plan ?? null;
  const reader = readerOf(config);
  return {
    version: storeVersion(db),
    site: { id: site.id, name: site.name, zone, units },
    nowMs,
    siteDay: clock.siteDayOf(nowMs),
    newest: newest === null ? null : newestView(context, newest),
    inForce: inForceView(context),
    waiting: readWaiting(context, newest, beds),
    holds: openHolds(db).map(({ inForceId: _, ...hold }) => ({
      ...hold,
      line: sayHold({ ...hold, inForceId: null }, clock, nowMs),
    })),
    keepOffs: standingAt(personKeepOffs(db), nowMs).map((one) => ({
      keepOffId: one.keepOffId,
      who: one.who,
      why: one.why,
      beds: one.beds,
      atMs: one.atMs,
      dryUntilMs: Number.isFinite(dryUntilMs(one)) ? dryUntilMs(one) : null,
      line: sayKeepOff(keepOffFacts(one), { beds: plan?.beds ?? [], nowMs, reader }),
    })),
    call: callView(context),
    cautions: (plan === null ? CAUTIONS : cautionsFor(plan)).map(({ code, text }) => ({
      code,
      text,
    })),
    changes: changesOf(context, newest),
    beds,
    day: newest === null ? null : readDay(context, newest),
    shortages: newest === null ? [] : readShortages(context, newest),
    question: newest === null ? null : readQuestion(context, newest),
    warnings: plan === null ? [] : warningTexts(plan, reader),
    notices: plan === null ? [] : noticeTexts(plan, reader),
    line,
    deliveries: newestOrders(db).map((order) => deliveryView(order, context)),
    seasonWater: plan?.seasonWater ?? null,
  };
}

/** The newest plan with its standing, or null. */
export function readNewest({ db, config, nowMs }: ViewContext): NewestPlan | null {
  const stored = newestPlan(db);
  if (stored === null) return null;
  return {
    stored,
    standing: planStanding(db, stored),
    holds: openHolds(db),
    keepOffs: standingAt(personKeepOffs(db), nowMs),
    show: display(config.units),
  };
}

export function planHead({ plan, digest }: Pick<StoredPlan, 'plan' | 'digest'>): PlanHead {
  const { revision, siteDay, madeAtMs, endMs } = plan;
  return { revision, digest, shortDigest: shortDigest(digest), siteDay, madeAtMs, endMs };
}

function newestView({ config }: ViewContext, { stored, standing }: NewestPlan): NewestPlanView {
  return {
    ...planHead(stored),
    standing: standing.kind,
    standingLine: sayStanding(standing, config.clock),
    causeLine: sayCause(stored, config.clock),
    cycles: stored.plan.beds.reduce((sum, bed) => sum + bed.cycles.length, 0),
    liftsHolds: stored.lifts,
  };
}

function inForceView({ db, config, nowMs }: ViewContext): InForceView | null {
  const inForce = planInForce(db, nowMs);
  if (inForce === null) return null;
  const { plan, digest, confirmation, heldBedIds } = inForce;
  const held = heldBedIds.length === 0 ? '' : ` On hold since: ${heldBedIds.join(', ')}.`;
  return {
    ...planHead({ plan, digest }),
    confirmedBy: confirmation.who,
    atMs: confirmation.atMs,
    heldBedIds: [...heldBedIds],
    line: `In force: revision ${plan.revision} of ${plan.siteDay}, confirmed by ${confirmation.who} at ${config.clock.timeOf(confirmation.atMs)}.${held}`,
  };
}

function callView({ db, config, nowMs }: ViewContext): DayCallView {
  const call = dayCallsOf(db, config.clock.siteDayOf(nowMs)).at(-1) ?? null;
  if (call === null || changesNothing(call)) {
    return { ...NO_CALL, who: null, atMs: null, line: 'No call: the forecast as it is.' };
  }
  const { hotterK, windFraction, cloudierFraction, who, atMs } = call;
  return {
    hotterK,
    windFraction,
    cloudierFraction,
    who,
    atMs,
    line: `Day call by ${who} at ${config.clock.timeOf(atMs)}: ${sayDayCall(call, readerOf(config))}.`,
  };
}

/** What the newest plan changes against the one confirmed last. */
function changesOf(
  { db, nowMs, config }: ViewContext,
  newest: NewestPlan | null,
): TodayView['changes'] {
  const last = newestConfirmation(db)?.stored ?? null;
  const { siteDay } = newest?.stored.plan ?? {};
  if (newest === null || last === null || last.plan.siteDay !== siteDay) {
    return { againstRevision: null, lines: [] };
  }
  if (last.planId === newest.stored.planId) {
    return { againstRevision: last.plan.revision, lines: [] };
  }
  const given = { fromMs: nowMs, show: display(config.units) };
  return {
    againstRevision: last.plan.revision,
    lines: changeLines(last.plan, newest.stored.plan, given),
  };
}

function deliveryView(order: OrderState, { config }: ViewContext): DeliveryView {
  const { output, kind, orderId, attempts, atMs, lastAttemptMs, lastAnswer, lastDetail } = order;
  const what = kind === 'deliver' ? 'plan' : 'hold';
  const detail = lastDetail === '' ? '' : `, ${lastDetail}`;
  const isThere = kind !== 'deliver' || lastAnswer === 'accepted';
  return {
    output,
    kind,
    orderId,
    state: lastAnswer ?? 'waiting',
    attempts,
    atMs,
    lastAttemptMs,
    line: `${output}: ${what} of ${config.clock.timeOf(atMs)} ${lastAnswer ?? 'waits to be sent'}${detail}${isThere ? '' : '; the receiver does not have it yet, as far as anyone knows'}`,
  };
}
