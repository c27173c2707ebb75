import type { StageMove } from '../../calc/growth/bed-standing.ts';
import type { AskedRotation } from '../../calc/schedule/asked-rotations.ts';
import { askedRotationsSince } from '../store/asked-rotations.ts';
import { type BedTrim, bedTrims } from '../store/bed-trims.ts';
import type { Db } from '../store/database.ts';
import { dayCallsOf, type StoredDayCall } from '../store/day-calls.ts';
import { handWaterSince, type StoredHandWater } from '../store/hand-water.ts';
import { type PersonKeepOff, personKeepOffs } from '../store/keep-offs.ts';
import { everyLook, type StoredLook } from '../store/looks.ts';
import { stageMoves } from '../store/stage-moves.ts';
import { type StoredWindAnswer, windAnswersOf } from '../store/wind-answers.ts';

/** What persons have put down that a plan rests on, each oldest first. */
export interface PersonRows {
  stageMoves: readonly StageMove[];
  /** Calls of the site day, and of the one before it. */
  calls: readonly StoredDayCall[];
  callsBefore: readonly StoredDayCall[];
  keepOffs: readonly PersonKeepOff[];
  handWater: readonly StoredHandWater[];
  trims: readonly BedTrim[];
  askedRotations: readonly AskedRotation[];
  /** Answers of the site day to the wind; the newest stands. */
  windAnswers: readonly StoredWindAnswer[];
  /** Every look, those that were taken back among them. */
  looks: readonly StoredLook[];
}

/**
 * Rows that a person is thinking of: a preview plans as if they stood in the store. A keep-off with
 * the number of one that stands there takes its place.
 */
export type Hypothetical = Partial<PersonRows>;

/** Hand water of this long before a site day still counts somewhere. */
const HAND_WATER_MS = 96 * 3_600_000;

/** The rows of the store, and after each the ones that are thought of. */
export function personRows(
  db: Db,
  asked: { siteDay: string; dayBefore: string; dayStartMs: number },
  hypothetical: Hypothetical = {},
): PersonRows {
  return {
    stageMoves: [...stageMoves(db), ...(hypothetical.stageMoves ?? [])],
    calls: [...dayCallsOf(db, asked.siteDay), ...(hypothetical.calls ?? [])],
    callsBefore: [...dayCallsOf(db, asked.dayBefore), ...(hypothetical.callsBefore ?? [])],
    keepOffs: withThought(personKeepOffs(db), hypothetical.keepOffs ?? []),
    handWater: [
      ...handWaterSince(db, asked.dayStartMs - HAND_WATER_MS),
      ...(hypothetical.handWater ?? []),
    ].sort((a, b) => a.startMs - b.startMs),
    trims: [...bedTrims(db), ...(hypothetical.trims ?? [])],
    askedRotations: [
      ...askedRotationsSince(db, asked.dayStartMs),
      ...(hypothetical.askedRotations ?? []),
    ],
    windAnswers: [...windAnswersOf(db, asked.siteDay), ...(hypothetical.windAnswers ?? [])],
    looks: [...everyLook(db), ...(hypothetical.looks ?? [])],
  };
}

function withThought(
  standing: readonly PersonKeepOff[],
  thought: readonly PersonKeepOff[],
): PersonKeepOff[] {
  const ids = new Set(thought.map((one) => one.keepOffId));
  return [...standing.filter((one) => !ids.has(one.keepOffId)), ...thought];
}
