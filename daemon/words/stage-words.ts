import type { SiteClock } from '../../adapters/site-clock.ts';
import type { StagePrompt } from '../../calc/growth/stage-moves.ts';
import type { BedGermination, DayPlan } from '../../calc/schedule/day-plan.ts';
import { type Reader, sayTo, stageWords } from './plan-words.ts';

/** What a person may look at on a bed, in words. */
export function sayStagePrompt(
  prompt: StagePrompt,
  reader: Pick<Reader, 'language' | 'show'>,
): string {
  const say = sayTo(reader);
  switch (prompt.code) {
    case 'usual_time':
    case 'late': {
      const { days, usualDays, basis, next } = prompt;
      return say(`prompt.${prompt.code}`, {
        days,
        onward:
          next === null
            ? say('prompt.hand_over')
            : say('prompt.step_to', { stage: stageWords(next, say) }),
        least: usualDays[0],
        most: usualDays[1],
        basis: say(`basis.${basis}`),
      });
    }
    case 'settling':
      return say('prompt.settling', { days: prompt.settlingDays });
    case 'signs_seen': {
      const { coverFraction, rootMm, next } = prompt;
      const signs = [
        coverFraction === null
          ? null
          : say('signs.cover', { pct: Math.round(100 * coverFraction) }),
        rootMm === null ? null : say('signs.roots', { depth: reader.show.depth(rootMm) }),
      ].filter((sign) => sign !== null);
      return say('prompt.signs_seen', {
        signs: signs.join(', '),
        next: next === null ? say('prompt.hand_over') : stageWords(next, say),
      });
    }
    default:
      return say(`prompt.${prompt.code}`);
  }
}

/** The beds that are to germinate: their windows, and what these rest on. */
export function germinationLines(plan: DayPlan, clock: SiteClock): string[] {
  return bedsAlike(
    plan.beds.flatMap(({ name, germination }) =>
      germination === null
        ? []
        : [{ name, text: sayGermination(germination, plan.startMs, clock) }],
    ),
  );
}

/** When the first green may be expected, in one sentence that names its base. */
export function sayGermination(window: BedGermination, nowMs: number, clock: SiteClock): string {
  const { earliestMs, latestMs, sumCDays, leastCDays, mostCDays, baseTempC } = window;
  const warmth = `${sumCDays.toFixed(0)} of ${leastCDays.toFixed(0)} to ${mostCDays.toFixed(0)} °C-days over base ${baseTempC} °C (assumed)`;
  const day = (instantMs: number) => clock.siteDayOf(instantMs);
  const when =
    earliestMs === null || latestMs === null
      ? 'first green not in sight, the seedbed stays too cold'
      : latestMs < nowMs
        ? `first green was to be expected from ${day(earliestMs)} to ${day(latestMs)}`
        : `first green from ${day(earliestMs)} to ${day(latestMs)}`;
  const since =
    window.countedFromMs > window.sownMs
      ? `; warmth counts since ${clock.isoOf(window.countedFromMs).slice(0, 16).replace('T', ' ')}, none is known from before: it may come earlier`
      : '';
  const missing = window.missingHours > 0 ? `; ${window.missingHours} h without a temperature` : '';
  return `${when}; ${warmth}${since}${missing}.`;
}

/** Something said of a bed. */
interface SaidOfBed {
  name: string;
  text: string;
}

/** Beds of which the same is said, in one line each text, in the order of their first bed. */
function bedsAlike(said: readonly SaidOfBed[]): string[] {
  const namesOf = new Map<string, string[]>();
  for (const { name, text } of said) namesOf.set(text, [...(namesOf.get(text) ?? []), name]);
  return [...namesOf].map(([text, names]) => `${names.join(', ')}: ${text}`);
}
