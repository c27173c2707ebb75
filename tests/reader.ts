import { type DisplayUnits, display } from '../adapters/display-units.ts';
import type { DayPlan } from '../calc/schedule/day-plan.ts';
import type { WarningCode } from '../calc/schedule/plan-warning.ts';
import type { Reader } from '../daemon/words/plan-words.ts';
import { warningTexts } from '../daemon/words/warning-words.ts';

const HOUR_MS = 3_600_000;

/** Whom an invented plan is told to: in English, on a clock of UTC-7. */
export function inventedReader(units: DisplayUnits = 'metric'): Reader {
  const local = (ms: number) => new Date(ms - 7 * HOUR_MS).toISOString();
  return {
    language: 'en',
    clock: {
      timeOf: (ms) => local(ms).slice(11, 16),
      siteDayOf: (ms) => local(ms).slice(0, 10) as ReturnType<Reader['clock']['siteDayOf']>,
    },
    show: display(units),
  };
}

/** What a plan's warnings of one code say. */
export function toldOf(plan: DayPlan, code: WarningCode, reader = inventedReader()): string[] {
  return warningTexts(plan, reader)
    .filter((one) => one.code === code)
    .map(({ text }) => {
      // A message that lacks a value is given as it is written.
      if (text.includes('{')) throw new Error(`a value is missing: ${text}`);
      return text;
    });
}
