/** Where else than at a command line a person acts. */
export type ActingPlace = 'page' | 'review';

/** What does the same as a command: a screen and its button on the page, a key in the review. */
interface SameAction extends Record<ActingPlace, string> {
  command: string;
}

/**
 * Commands that texts tell a person to give, each with what does the same elsewhere. The longer of
 * two that begin alike comes first.
 */
export const SAME_ACTIONS: readonly SameAction[] = [
  {
    command: 'dewbeat plan --lift',
    page: '“Change, Fresh plan, Water them again”',
    review: '`p`, which can lift holds',
  },
  { command: 'dewbeat plan', page: '“Change, Fresh plan”', review: '`p`' },
  { command: 'dewbeat show', page: '“Read the newest plan”', review: '`Escape`, the first screen' },
  { command: 'dewbeat ran', page: '“Day line”', review: '`l`' },
  { command: 'dewbeat keep-off --end', page: '“Change, Keep-off, It is over”', review: '`e`' },
  { command: 'dewbeat keep-off', page: '“Change, Keep-off”', review: '`k`' },
  { command: 'dewbeat stage', page: '“Change, Stage”', review: '`s`' },
  { command: 'dewbeat water', page: '“Change, Hand water”', review: '`w`' },
  { command: '--who', page: '“Your name”', review: 'your name' },
  { command: '--caution', page: '“Have you looked?”', review: 'each by its number' },
];

/** A command, or an option of one, as texts name it. */
const NAMED = /`((?:dewbeat |--)[^`]*)`/g;

/**
 * A text that names commands, for a person who is somewhere else: it says what to do there. What
 * can be done nowhere else stays the command that it is. Pure.
 */
export function actingAt(place: ActingPlace, text: string): string {
  return text.replace(NAMED, (named, command: string) => {
    const same = SAME_ACTIONS.find(
      (one) => command === one.command || command.startsWith(`${one.command} `),
    );
    return same === undefined ? `${named} in a terminal` : same[place];
  });
}

/** The same for every text of an answer, however deep it stands. */
export function answerActingAt(place: ActingPlace, answer: unknown): unknown {
  if (typeof answer === 'string') return answer.includes('`') ? actingAt(place, answer) : answer;
  if (Array.isArray(answer)) {
    // Long rows of numbers name nothing.
    return typeof answer[0] === 'number' ? answer : answer.map((one) => answerActingAt(place, one));
  }
  if (typeof answer !== 'object' || answer === null) return answer;
  return Object.fromEntries(
    Object.entries(answer).map(([key, value]) => [key, answerActingAt(place, value)]),
  );
}
