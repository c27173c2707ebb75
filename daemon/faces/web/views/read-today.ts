import { display } from '../../../../adapters/display-units.ts';
import { shortDigest } from '../../../../adapters/plan-document.ts';
import { changesNothing, NO_CALL } from '../../../../calc/sky/day-call.ts';
import { planInForce, planStanding } from '../../../site/gate/gate.ts';
import { dryUntilMs, keepOffFacts, standingAt } from '../../../site/gate/keep-offs.ts';
import { CAUTIONS, cautionsFor } from '../../../site/gate/valid-confirm.ts';
import { storeVersion } from '../../../site/store/database.ts';
import { openHolds, personKeepOffs } from '../../../site/store/holds-and-keep-offs.ts';
import { dayCallsOf } from '../../../site/store/instructions.ts';
import { newestOrders, type OrderState } from '../../../site/store/outbox.ts';
import { newestConfirmation, newestPlan, type StoredPlan } from '../../../site/store/plans.ts';
import { changeLines, sayCause, sayStanding } from '../../../words/confirm-words.ts';
import { sayKeepOff } from '../../../words/keep-dry-words.ts';
import { noticeTexts } from '../../../words/notice-texts.ts';
import {
  readerOf,
  sayShortageCause,
  sayWindAnswer,
  sayWindQuestion,
  windAnswers,
} from '../../../words/plan-words.ts';
import { warningTexts } from '../../../words/warning-words.ts';
import { sayDayCall } from '../../../words/weather-words.ts';
import { readBeds } from './read-beds.ts';
import { readLine } from './read-line.ts';
import { readWaiting, sayHold } from './read-waiting.ts';
import type {
  DayCallView,
  DeliveryView,
  InForceView,
  NewestPlanView,
  PlanHead,
  QuestionView,
  ShortageView,
  TodayDay,
  TodayView,
  WindAnswerView,
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

/** The day's loss against a usual one, its heat, wind and rain. */
function readDay(context: ViewContext, { stored, show }: NewestPlan): TodayDay {
  const { config, now, nowMs } = context;
  const { plan } = stored;
  const { weather } = plan;
  const lossMm =
    now === null
      ? mean(plan.beds.map((bed) => bed.lossMm))
      : mean(now.beds.map((bed) => bed.lossMm.reduce((sum, mm) => sum + mm, 0)));
  const usualLossMm = usualOf(context, lossMm);
  const { windLimitMPerS } = config.site.limits;
  const windy = weather.windMaxMPerS > windLimitMPerS ? ', above your limit' : '';
  const rain = weather.rainMm > 0 ? `rain ${show.depth(weather.rainMm)}` : 'no rain';
  const loss = `loses ${show.depth(lossMm)}${againstUsual(lossMm, usualLossMm)}`;
  const age =
    weather.asOfMs === null
      ? 'its age is not known'
      : `${show.duration(Math.max(0, nowMs - weather.asOfMs) / 1000)} old`;
  return {
    siteDay: plan.siteDay,
    lossMm,
    usualLossMm,
    referenceEtMm: now?.referenceEtMm ?? weather.referenceEtMm,
    highC: weather.highC,
    lowC: weather.lowC,
    windMaxMPerS: weather.windMaxMPerS,
    windLimitMPerS,
    rainMm: weather.rainMm,
    line: `A seedbed ${loss}; high ${show.temp(weather.highC)}, wind up to ${show.speed(weather.windMaxMPerS)}${windy}, ${rain}.`,
    weatherLine: `Weather: ${weather.source}, ${age}.`,
  };
}

/** A usual day: the days before whose weather is known, at today's stage. */
function usualOf({ now }: ViewContext, lossMm: number): number | null {
  if (now === null || now.earlierReferenceEtMm.length === 0 || !(now.referenceEtMm > 0)) {
    return null;
  }
  return (lossMm * mean(now.earlierReferenceEtMm)) / now.referenceEtMm;
}

function againstUsual(lossMm: number, usualLossMm: number | null): string {
  if (usualLossMm === null || usualLossMm <= 0) return '';
  const pct = Math.round((100 * lossMm) / usualLossMm);
  if (Math.abs(pct - 100) < 5) return ', as on the days before';
  return `, ${pct} % of the days before`;
}

/** What does not fit, with what would help. */
function readShortages({ config }: ViewContext, { stored, show }: NewestPlan): ShortageView[] {
  const reader = readerOf(config);
  const { timeOf } = config.clock;
  const nameOf = new Map(stored.plan.beds.map((bed) => [bed.bedId, bed.name]));
  return stored.plan.shortages.map((one) => {
    const name = nameOf.get(one.bedId) ?? one.bedId;
    const dry = one.minutesBelowDryLimit > 0 ? `, ${one.minutesBelowDryLimit} min of it dry` : '';
    const { cause: _, remedy: __, ...stretch } = one;
    const because = sayShortageCause(one, reader);
    return {
      ...stretch,
      because,
      name,
      line: `${name}: below its reserve ${timeOf(one.fromMs)} to ${timeOf(one.toMs)}${dry}, lowest ${show.depth(one.lowestStoreMm)}: ${because}.`,
    };
  });
}

/** What a person is asked about the wind. */
function readQuestion({ config }: ViewContext, { stored }: NewestPlan): QuestionView | null {
  const { question } = stored.plan;
  if (question === undefined) return null;
  const { fromMs, toMs, bedIds, answered } = question;
  const reader = readerOf(config);
  return {
    fromMs,
    toMs,
    bedIds,
    line: sayWindQuestion(question, reader),
    answered: answered === undefined ? null : sayWindAnswer(answered, reader),
    answers: windAnswers(question, reader).map(
      ({ choice, words, isPlanned, cost, line }): WindAnswerView => ({
        answer: choice,
        words,
        isPlanned,
        ...cost,
        line,
      }),
    ),
  };
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);
}
