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
import {
  changeLines,
  sayCause,
  sayCaution,
  sayStanding,
  withStopped,
} from '../../../words/confirm-words.ts';
import { sayKeepOff, sayStopped } from '../../../words/keep-dry-words.ts';
import type { Say } from '../../../words/language.ts';
import { asItStands, leewayLines, sayBedLeeways, sayLeeway } from '../../../words/leeway-words.ts';
import { noticeTexts } from '../../../words/notice-texts.ts';
import { sayDayWater } from '../../../words/plan-rows.ts';
import {
  bedName,
  sayShortageCause,
  sayTo,
  sayWindAnswer,
  sayWindQuestion,
  windAnswers,
} from '../../../words/plan-words.ts';
import { sayPlanRisk } from '../../../words/risk-words.ts';
import { sayTold } from '../../../words/told.ts';
import { warningTexts } from '../../../words/warning-words.ts';
import { saySpread } from '../../../words/weather-words.ts';
import { sayWorthLooking } from '../../../words/worth-looking-words.ts';
import { readBeds } from './read-beds.ts';
import { readLine } from './read-line.ts';
import { readWaiting } from './read-waiting.ts';
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
  const { db, config, nowMs, reader } = context;
  const { clock, site, zone, units } = config;
  const newest = readNewest(context);
  const line = newest === null ? null : readLine(context, newest);
  const beds = newest === null || line === null ? [] : readBeds(context, newest, line);
  const plan = newest?.stored.plan ?? null;
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
      line: sayStopped({ ...hold, inForceId: null }, reader, nowMs),
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
    cautions: (plan === null ? CAUTIONS : cautionsFor(plan)).map(({ code }) => ({
      code,
      text: sayCaution(code, sayTo(reader)),
    })),
    leeway: newest === null ? null : leewayView(context, newest),
    changes: changesOf(context, newest),
    beds,
    day: newest === null ? null : readDay(context, newest),
    shortages: newest === null ? [] : readShortages(context, newest),
    question: newest === null ? null : readQuestion(context, newest),
    worthLooking: plan === null ? null : sayWorthLooking(plan, reader),
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

function newestView({ reader }: ViewContext, { stored, standing }: NewestPlan): NewestPlanView {
  return {
    ...planHead(stored),
    standing: standing.kind,
    standingLine: sayStanding(standing, reader),
    causeLine: sayCause(stored, reader),
    cycles: stored.plan.beds.reduce((sum, bed) => sum + bed.cycles.length, 0),
    liftsHolds: stored.lifts,
  };
}

function inForceView({ db, reader, nowMs }: ViewContext): InForceView | null {
  const inForce = planInForce(db, nowMs);
  if (inForce === null) return null;
  const { plan, digest, confirmation, heldBedIds } = inForce;
  const say = sayTo(reader);
  const stored = newestConfirmation(db)?.stored ?? null;
  const { who, atMs } = confirmation;
  const at = reader.clock.timeOf(atMs);
  const { revision, siteDay } = plan;
  return {
    ...planHead({ plan, digest }),
    confirmedBy: who,
    atMs,
    heldBedIds: [...heldBedIds],
    line: withStopped(say('in_force', { revision, siteDay, who, at }), heldBedIds, say),
    leewayLines: stored === null ? [] : leewayLines(plan, planStanding(db, stored), reader),
  };
}

function leewayView({ reader }: ViewContext, { stored }: NewestPlan): TodayView['leeway'] {
  const { plan } = stored;
  const line = sayLeeway(plan, reader);
  if (line === null) return null;
  const lines = sayBedLeeways(plan, reader);
  return {
    line,
    holds: sayTo(reader)('leeway.day_holds'),
    beds: (plan.leeway?.beds ?? []).map(({ bedId }, at) => {
      return { id: bedId, name: bedName(plan, bedId), line: lines[at] ?? '' };
    }),
  };
}

function callView({ db, config, nowMs, reader }: ViewContext): DayCallView {
  const call = dayCallsOf(db, config.clock.siteDayOf(nowMs)).at(-1) ?? null;
  if (call === null || changesNothing(call)) {
    return { ...NO_CALL, who: null, atMs: null, line: sayTold({ code: 'call_none' }, reader) };
  }
  const { hotterK, windFraction, cloudierFraction, who, atMs } = call;
  return {
    hotterK,
    windFraction,
    cloudierFraction,
    who,
    atMs,
    line: sayTold(
      { code: 'call_standing', hotterK, windFraction, cloudierFraction, who, atMs },
      reader,
    ),
  };
}

/** What the newest plan changes against the one confirmed last. */
function changesOf(
  { db, nowMs, reader }: ViewContext,
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
  return {
    againstRevision: last.plan.revision,
    lines: changeLines(last.plan, newest.stored.plan, { fromMs: nowMs, reader }),
  };
}

function deliveryView(order: OrderState, { reader }: ViewContext): DeliveryView {
  const { output, kind, orderId, attempts, atMs, lastAttemptMs, lastAnswer, lastDetail } = order;
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
    line: sayTo(reader)(isThere ? 'delivery.line' : 'delivery.not_there', {
      output,
      kind,
      at: reader.clock.timeOf(atMs),
      answer: sayTo(reader)(`order_answer.${lastAnswer ?? 'waiting'}`),
      detail,
    }),
  };
}

/** The day's loss against a usual one, its heat, wind and rain. */
function readDay(context: ViewContext, { stored, standing, show }: NewestPlan): TodayDay {
  const { config, now, nowMs, reader } = context;
  const say = sayTo(reader);
  const plan = asItStands(stored.plan, standing);
  const { weather } = plan;
  const lossMm =
    now === null
      ? mean(plan.beds.map((bed) => bed.lossMm))
      : mean(now.beds.map((bed) => bed.lossMm.reduce((sum, mm) => sum + mm, 0)));
  const usualLossMm = usualOf(context, lossMm);
  const { windLimitMPerS } = config.site.limits;
  const { source, asOfMs } = weather;
  const values = {
    loss: show.depth(lossMm),
    usual: againstUsual(lossMm, usualLossMm, say),
    high: show.temp(weather.highC),
    wind: show.speed(weather.windMaxMPerS),
    windIs: weather.windMaxMPerS > windLimitMPerS ? 'above' : 'below',
    rain: weather.rainMm > 0 ? show.depth(weather.rainMm) : 'none',
  };
  const spread = saySpread(weather, reader);
  const weatherLine =
    asOfMs === null
      ? say('weather_line.age_unknown', { source })
      : say('weather_line', { source, age: show.duration(Math.max(0, nowMs - asOfMs) / 1000) });
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
    waterLine: sayDayWater(plan, reader),
    line: say('day.line', values),
    weatherLine:
      spread === null
        ? say('day.weather', { weather: weatherLine })
        : say('day.weather.spread', { weather: weatherLine, spread }),
    riskLine: sayPlanRisk(plan, reader),
  };
}

/** A usual day: the days before whose weather is known, at today's stage. */
function usualOf({ now }: ViewContext, lossMm: number): number | null {
  if (now === null || now.earlierReferenceEtMm.length === 0 || !(now.referenceEtMm > 0)) {
    return null;
  }
  return (lossMm * mean(now.earlierReferenceEtMm)) / now.referenceEtMm;
}

function againstUsual(lossMm: number, usualLossMm: number | null, say: Say): string {
  if (usualLossMm === null || usualLossMm <= 0) return '';
  const pct = Math.round((100 * lossMm) / usualLossMm);
  if (Math.abs(pct - 100) < 5) return say('day.as_usual');
  return say('day.of_usual', { pct });
}

/** What does not fit, with what would help. */
function readShortages({ reader }: ViewContext, { stored, show }: NewestPlan): ShortageView[] {
  const { timeOf } = reader.clock;
  const nameOf = new Map(stored.plan.beds.map((bed) => [bed.bedId, bed.name]));
  return stored.plan.shortages.map((one) => {
    const name = nameOf.get(one.bedId) ?? one.bedId;
    const { cause: _, remedy: __, ...stretch } = one;
    const because = sayShortageCause(one, reader);
    return {
      ...stretch,
      because,
      name,
      line: sayTo(reader)('shortage.line', {
        bed: name,
        from: timeOf(one.fromMs),
        to: timeOf(one.toMs),
        dryMin: one.minutesBelowDryLimit,
        lowest: show.depth(one.lowestStoreMm),
        why: because,
      }),
    };
  });
}

/** What a person is asked about the wind. */
function readQuestion({ reader }: ViewContext, { stored }: NewestPlan): QuestionView | null {
  const { question } = stored.plan;
  if (question === undefined) return null;
  const { fromMs, toMs, bedIds, answered } = question;
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
