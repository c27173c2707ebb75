import type { StagePrompt } from '../../calc/growth/stage-prompts.ts';
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
