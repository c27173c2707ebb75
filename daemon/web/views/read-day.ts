import {
  sayShortageCause,
  sayWindAnswer,
  sayWindQuestion,
  windAnswers,
} from '../../words/plan-words.ts';
import { readerOf } from '../../words/reader.ts';
import type { QuestionView, ShortageView, TodayDay, WindAnswerView } from './today-view.ts';
import type { NewestPlan, ViewContext } from './view-context.ts';

/** The day's loss against a usual one, its heat, wind and rain. */
export function readDay(context: ViewContext, { stored, show }: NewestPlan): TodayDay {
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
export function readShortages(
  { config }: ViewContext,
  { stored, show }: NewestPlan,
): ShortageView[] {
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
export function readQuestion({ config }: ViewContext, { stored }: NewestPlan): QuestionView | null {
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
