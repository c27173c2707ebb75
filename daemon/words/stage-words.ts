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
export function germinationLines(plan: DayPlan, reader: Reader): string[] {
  return bedsAlike(
    plan.beds.flatMap(({ name, germination }) =>
      germination === null
        ? []
        : [{ name, text: sayGermination(germination, plan.startMs, reader) }],
    ),
  );
}

/** When the first green may be expected, in one sentence that names its base. */
export function sayGermination(
  window: BedGermination,
  nowMs: number,
  reader: Pick<Reader, 'language' | 'clock'>,
): string {
  const { earliestMs, latestMs, sumCDays, leastCDays, mostCDays, baseTempC } = window;
  const { clock } = reader;
  const say = sayTo(reader);
  const day = (instantMs: number) => clock.siteDayOf(instantMs);
  const isKnown = earliestMs !== null && latestMs !== null;
  const when = isKnown
    ? say(latestMs < nowMs ? 'germination.was' : 'germination.window', {
        from: day(earliestMs),
        to: day(latestMs),
      })
    : say('germination.too_cold');
  const isLater = window.countedFromMs > window.sownMs;
  const counted = `${day(window.countedFromMs)} ${clock.timeOf(window.countedFromMs)}`;
  const since = isLater ? say('germination.counted_since', { since: counted }) : '';
  return say('germination.line', {
    when,
    sum: sumCDays.toFixed(0),
    least: leastCDays.toFixed(0),
    most: mostCDays.toFixed(0),
    base: baseTempC,
    since,
    missing: window.missingHours,
  });
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
