import type { WeatherSource } from '../../adapters/weather/source.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { actionOf } from '../actions/list.ts';
import { bedStanding, beforeLook } from '../actions/look.ts';
import { dayAsItIs, preview } from '../actions/preview.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import type { SandConfig } from '../config/sand-schema.ts';
import type { Lift } from '../planning/hold-keep-offs.ts';
import type { Proposal } from '../planning/propose-plan.ts';
import { siteNow } from '../planning/site-now.ts';
import { workedOut } from '../planning/work-out.ts';
import { workedOutRevision } from '../planning/work-out-revision.ts';
import type { SetupAnswers } from '../setup/answers.ts';
import type { HashedPin, SetupPlace } from '../setup/checked-answers.ts';
import type { Db } from '../store/database.ts';
import type { SeenOnBed } from '../store/looks.ts';
import { storeVersion } from '../store/version.ts';

const MINUTE_MS = 60_000;

/** Loaded when it is asked for: a daemon that plans never needs it. */
const setup = () => import('../setup/checked-answers.ts');

/** What questions are answered from. */
export interface Ground {
  db: Db;
  config: LoadedConfig;
  weather: WeatherSource;
}

interface At {
  nowMs: number;
}

/**
 * Everything that takes the processor for long, as questions: what is asked and what is answered are
 * plain values, so that another process can answer. None of them writes into the store.
 */
export function questionsOn(ground: Ground) {
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
    siteNow: ({ nowMs }: At) => siteNow(at(nowMs)),
    /** A plan of the day. */
    plan: ({ nowMs, ...asked }: At & { lift: Lift; reasons?: readonly PlanWarning[] }) =>
      workedOut(at(nowMs), asked),
    /** A plan of the day where the newest is no longer right; null: it is. */
    revision: ({ nowMs }: At) => workedOutRevision(at(nowMs)),
    /** What a change would do. */
    async preview({
      nowMs,
      change,
      who,
    }: At & { change: { kind: string; [key: string]: unknown }; who: string }) {
      const context = at(nowMs);
      return preview(context, actionOf(context, change, who), await asItIs(nowMs));
    },
    /** What was expected of what a person saw, and what is thought of its bed. */
    beforeLook: ({ nowMs, seen }: At & { seen: SeenOnBed }) => beforeLook(at(nowMs), seen),
    /** What is thought of a bed. */
    bedStanding: ({ nowMs, bedId }: At & { bedId: string }) => bedStanding(at(nowMs), bedId),
    /** What answers of the set-up would make of the config. */
    async setupCheck(asked: SetupPlace & { answers: SetupAnswers; pins: readonly HashedPin[] }) {
      return (await setup()).checkedAnswers(asked.answers, asked);
    },
    /** What a weather that was answered tells. */
    async setupWeather(asked: SetupPlace & At & { answers: SetupAnswers }) {
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
export type AskedOf<K extends Question> = Parameters<Questions[K]>[0];
export type AnswerOf<K extends Question> = Awaited<ReturnType<Questions[K]>>;
