import { display } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { BedPlan, WindChoice, WindQuestion } from '../../calc/schedule/day-plan.ts';
import type { StandingKeepOff } from '../../calc/schedule/plan-warning.ts';
import type { Coded } from '../coded.ts';
import { sayKeepOff } from './keep-dry-words.ts';
import { sayNamed } from './language.ts';
import { type Reader, sayTo, sayWind, windChoiceWords } from './plan-words.ts';
import { sayDayCall } from './weather-words.ts';

/** A keep-off that stands, with the beds that it keeps dry as the newest plan has them. */
export interface ToldKeepOff {
  code: 'keep_off_standing';
  keepOff: StandingKeepOff;
  beds: readonly BedPlan[];
  nowMs: number;
}

/** What the plan asks about the wind. */
export interface ToldWind {
  code: 'wind_asked';
  question: WindQuestion;
}

/** What came of something: the message `told.CODE`, or one of these. */
export type Told = Coded | ToldKeepOff | ToldWind;

const isKeepOff = (told: Told): told is ToldKeepOff => told.code === 'keep_off_standing';
const isWind = (told: Told): told is ToldWind => told.code === 'wind_asked';

/** Puts it into words. */
export function sayTold(told: Told, reader: Reader): string {
  if (isKeepOff(told)) return sayKeepOff(told.keepOff, { ...told, reader });
  if (isWind(told)) return sayWind(told.question, reader);
  return sayCoded('told', told, reader);
}

/** Puts a code and its facts into words: the message `GROUP.CODE`. */
export function sayCoded(group: string, coded: Coded, reader: Reader): string {
  const { code } = coded;
  // A message that is missing is a fault of ours, and no reason for an answer to fail.
  return sayNamed(sayTo(reader), `${group}.${code}`, wordsOf(coded, reader)) ?? code;
}

/** The facts as messages take them. */
export function wordsOf(
  facts: Readonly<Record<string, string | number | null>>,
  reader: Reader,
): Record<string, string | number> {
  const { clock, show } = reader;
  const say = sayTo(reader);
  const word = (name: string, value: string | number | null): string | number => {
    if (value === null) return '';
    if (name === 'windChoice') return windChoiceWords(value as WindChoice, say).toLowerCase();
    if (name.endsWith('Stage')) return sayNamed(say, `stage.${value}`) ?? value;
    if (typeof value === 'string') return value;
    if (name.endsWith('Ms')) return clock.timeOf(value);
    if (name.endsWith('Mm')) return show.depth(value);
    if (name.endsWith('L')) return show.volume(value);
    if (/[a-z]S$/.test(name)) return show.duration(value);
    return Number(value.toFixed(2));
  };
  const { hotterK, windFraction, cloudierFraction } = facts;
  const isCall =
    typeof hotterK === 'number' &&
    typeof windFraction === 'number' &&
    typeof cloudierFraction === 'number';
  return {
    ...Object.fromEntries(Object.entries(facts).map(([name, value]) => [name, word(name, value)])),
    ...(isCall ? { call: sayDayCall({ hotterK, windFraction, cloudierFraction }, reader) } : {}),
  };
}

/** Who reads the log: the same words whatever units and language the site shows. */
export function logReader(clock: SiteClock): Reader {
  return {
    language: 'en',
    place: 'anywhere',
    clock: { timeOf: (ms) => clock.isoOf(ms), siteDayOf: (ms) => clock.siteDayOf(ms) },
    show: display('metric'),
  };
}
