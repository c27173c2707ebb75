import type { Question } from './questions.ts';

/** Which goes first of those that wait: what is short and shown, what a person has done, thoughts. */
export const RANKS: Readonly<Record<Question, number>> = {
  siteNow: 0,
  bedStanding: 0,
  beforeLook: 0,
  plan: 1,
  revision: 1,
  preview: 2,
  setupCheck: 3,
  setupWeather: 3,
  setupSand: 3,
};
