import type { Language } from '../../../adapters/contract.ts';
import type { WeatherSource } from '../../../adapters/weather/source.ts';
import type { PlanWarning } from '../../../calc/schedule/plan-warning.ts';
import { actionOf } from '../../actions/list.ts';
import { bedStanding, beforeLook } from '../../actions/look.ts';
import { dayAsItIs, preview } from '../../actions/preview.ts';
import type { SetupAnswers } from '../../actions/setup/answers.ts';
import type { HashedPin, SetupPlace } from '../../actions/setup/checked-answers.ts';
import { workOutFollowing } from '../../planning/follow-day.ts';
import { workOutPlan } from '../../planning/make-plan.ts';
import type { Lift } from '../../planning/open-holds.ts';
import type { Proposal } from '../../planning/propose-plan.ts';
import { workOutRevision } from '../../planning/revise-plan.ts';
import { siteNow } from '../../planning/site-now.ts';
import type { SandConfig } from '../../site/config/bed-schema.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { type Db, storeVersion } from '../../site/store/database.ts';
import type { SeenOnBed } from '../../site/store/looks.ts';
import type { Place } from '../../words/language.ts';
import { readerOf } from '../../words/plan-words.ts';

const MINUTE_MS = 60_000;

/** Loaded when it is asked for: a daemon that plans never needs it. */
const setup = () => import('../../actions/setup/checked-answers.ts');

/** What questions are answered from. */
export interface QuestionContext {
  db: Db;
  config: LoadedConfig;
  weather: WeatherSource;
}

interface AtInstant {
  nowMs: number;
}

/**
 * Everything that takes the processor for long, as questions: what is asked and what is answered are
 * plain values, so that another process can answer. None of them writes into the store.
 */
export function questionsOn(ground: QuestionContext) {
  const at = (nowMs: number) => ({ ...ground, nowMs });
  let kept: { key: string; day: Promise<Proposal> } | null = null;

  /** Several previews in a row are held against the same day. */
  const asItIs = (nowMs: number): Promise<Proposal> => {
    const key = `${storeVersion(ground.db)} ${Math.floor(nowMs / MINUTE_MS)}`;
    if (kept?.key !== key) {
      const day = dayAsItIs(at(nowMs));
      kept = { key, day };
      day.catch(() => {
        kept = null;
      });
    }
    return kept.day;
  };

  return {
    /** How the beds stand. */
    siteNow: ({ nowMs }: AtInstant) => siteNow(at(nowMs)),
    /** A plan of the day. */
    plan: ({ nowMs, ...asked }: AtInstant & { lift: Lift; reasons?: readonly PlanWarning[] }) =>
      workOutPlan(at(nowMs), asked),
    /** A plan of the day where the newest is no longer right; null: it is. */
    revision: ({ nowMs }: AtInstant) => workOutRevision(at(nowMs)),
    /** What to change of a day that is followed within its leeway; null: none is. */
    follow: ({ nowMs }: AtInstant) => workOutFollowing(at(nowMs)),
    /** What a change would do. */
    async preview({
      nowMs,
      change,
      who,
      language,
      place,
    }: AtInstant & {
      change: { kind: string; [key: string]: unknown };
      who: string;
      language: Language;
      place: Place;
    }) {
      const context = at(nowMs);
      const reader = readerOf({ ...ground.config, language, place });
      return preview(context, actionOf(context, change, who), await asItIs(nowMs), reader);
    },
    /** What was expected of what a person saw, and what is thought of its bed. */
    beforeLook: ({ nowMs, seen }: AtInstant & { seen: SeenOnBed }) => beforeLook(at(nowMs), seen),
    /** What is thought of a bed. */
    bedStanding: ({ nowMs, bedId }: AtInstant & { bedId: string }) => bedStanding(at(nowMs), bedId),
    /** What answers of the set-up would make of the config. */
    async setupCheck(asked: SetupPlace & { answers: SetupAnswers; pins: readonly HashedPin[] }) {
      return (await setup()).checkedAnswers(asked.answers, asked);
    },
    /** What a weather that was answered tells. */
    async setupWeather(asked: SetupPlace & AtInstant & { answers: SetupAnswers }) {
      return (await setup()).triedWeather(asked.answers, asked);
    },
    /** How a sand dries down. */
    async setupSand({ sand, file }: { sand: string | SandConfig; file: string }) {
      return (await setup()).driedSand(sand, { file, units: ground.config.units });
    },
  };
}

export type Questions = ReturnType<typeof questionsOn>;
export type Question = keyof Questions;
export type QuestionInput<K extends Question> = Parameters<Questions[K]>[0];
export type QuestionAnswer<K extends Question> = Awaited<ReturnType<Questions[K]>>;

/** Which goes first of those that wait: what is short and shown, what a person has done, thoughts. */
export const QUESTION_RANKS: Readonly<Record<Question, number>> = {
  siteNow: 0,
  bedStanding: 0,
  beforeLook: 0,
  plan: 1,
  revision: 1,
  follow: 1,
  preview: 2,
  setupCheck: 3,
  setupWeather: 3,
  setupSand: 3,
};
