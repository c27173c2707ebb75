import type { DisplayUnits } from '../../../adapters/display-units.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import { frame } from './frame.ts';
import { handleKey } from './handle-key.ts';
import { readKeys } from './read-keys.ts';
import { paint, type ReviewLine } from './review-line.ts';
import { applyUpdate, type ReviewSession, type ReviewUpdate } from './review-session.ts';
import { isTyping, type ReviewState } from './review-state.ts';
import type { ScreenTerminal } from './screen-terminal.ts';

/** The store is read again so often, so that what others do appears. */
const REFRESH_MS = 3_000;
/** An escape that nothing has followed for so long was the key itself. */
const ESCAPE_MS = 40;

/**
 * Runs the review at a terminal until the person leaves or is asked to stop. The terminal is put
 * back in any case; what was asked for is seen to its end after that.
 */
export async function runReview(given: {
  terminal: ScreenTerminal;
  session: ReviewSession;
  site: { clock: SiteClock; units: DisplayUnits };
  first: ReviewState;
  onStop(stop: () => void): void;
  /** Called when the terminal is hung up. */
  onReload(reload: () => void): void;
}): Promise<void> {
  const { terminal, session, site } = given;
  let state = given.first;
  let shown: readonly ReviewLine[] | null = null;
  let pending = '';
  let escapeTimer: NodeJS.Timeout | undefined;
  const underWay = new Set<Promise<void>>();
  let end: () => void = () => {};
  let fail: (fault: unknown) => void = () => {};
  const ended = new Promise<void>((resolve, reject) => {
    end = resolve;
    fail = reject;
  });

  const draw = () => {
    const { lines, scroll } = frame(state, terminal.size(), { timeOf: site.clock.timeOf });
    state = { ...state, scroll };
    const text = paint(shown, lines, terminal.colour);
    if (text !== '') terminal.write(text);
    shown = lines;
  };
  /** Whatever goes wrong ends the review in order: the terminal comes back before the fault is told. */
  const guarded = (work: () => void) => {
    try {
      work();
    } catch (fault) {
      fail(fault);
    }
  };
  const tell = (news: ReviewUpdate) =>
    guarded(() => {
      state = applyUpdate(state, news);
      draw();
    });
  let reading: Promise<void> | null = null;
  let again = false;
  const read = (): Promise<void> => {
    if (reading !== null) {
      again = true;
      return reading;
    }
    reading = session.read(state).then((news) => {
      reading = null;
      tell(news);
      if (!again) return undefined;
      again = false;
      return read();
    });
    return reading;
  };
  const press = (text: string, isLast: boolean) => {
    const { keys, rest } = readKeys(text, isLast);
    pending = rest;
    for (const key of keys) {
      const before = state;
      const { state: next, act } = handleKey(state, key, site);
      state = next;
      if (key.name === 'ctrl_l') shown = null;
      if (act?.kind === 'leave') return end();
      if (act !== null) {
        const work = session.act(act, tell).then(read);
        underWay.add(work);
        work.then(() => underWay.delete(work), fail);
      } else if (needsBed(before, next)) read().catch(fail);
    }
    draw();
  };

  const restore = terminal.open({
    sent(text) {
      clearTimeout(escapeTimer);
      guarded(() => press(pending + text, false));
      if (pending === '') return;
      escapeTimer = setTimeout(() => guarded(() => press(pending, true)), ESCAPE_MS);
    },
    resized: () =>
      guarded(() => {
        shown = null;
        draw();
      }),
    lost: end,
  });
  const timer = setInterval(() => void read().catch(fail), REFRESH_MS);
  try {
    given.onStop(end);
    given.onReload(end);
    draw();
    read().catch(fail);
    await ended;
  } finally {
    clearInterval(timer);
    clearTimeout(escapeTimer);
    restore();
  }
  // A stop or a confirm that is on its way is not left alone.
  await Promise.allSettled(underWay);
}

function needsBed(before: ReviewState, after: ReviewState): boolean {
  const isShown = after.screen.kind === 'bed' && !isTyping(after);
  return isShown && (before.screen.kind !== 'bed' || before.chosen !== after.chosen);
}
