import type { Key } from './read-keys.ts';
import {
  type ConfirmScreen,
  type PlanRead,
  type Pressed,
  type ReviewState,
  show,
} from './review-state.ts';
import { typeText } from './type-text.ts';

/** The plan that a confirm would name, as it stands now. */
export function planToRead(state: ReviewState): PlanRead | null {
  const newest = state.view?.newest ?? null;
  if (newest === null) return null;
  const { revision, digest, shortDigest, siteDay } = newest;
  return { revision, digest, shortDigest, siteDay };
}

/** Opens the confirm of the newest plan, with nothing ticked. */
export function beginConfirm(state: ReviewState): ReviewState {
  const read = planToRead(state);
  const newest = state.view?.newest ?? null;
  if (read === null || newest === null) {
    return { ...state, note: { text: 'There is no plan to confirm.', tone: 'warn' } };
  }
  if (newest.standing !== 'held') {
    const text = `Nothing waits for a confirm: ${newest.standingLine}`;
    return { ...state, note: { text, tone: 'plain' } };
  }
  return show(state, {
    kind: 'confirm',
    read,
    who: state.who,
    ticked: [],
    isNaming: state.who.trim() === '',
    overtaken: null,
    wrong: null,
  });
}

/**
 * A key on the confirm: the name, then each caution by its own number, and at last `y`. No key does
 * two of these, so that a key held down lets no water out.
 */
export function pressInConfirm(state: ReviewState, screen: ConfirmScreen, key: Key): Pressed {
  const cautions = state.view?.cautions ?? [];
  const put = (more: Partial<ConfirmScreen>): Pressed => ({
    state: { ...state, screen: { ...screen, ...more } },
    act: null,
  });
  if (key.name === 'escape') return { state: show(state, { kind: 'morning' }), act: null };
  if (screen.overtaken !== null) {
    // What was ticked was ticked for another plan.
    return { state: key.name === 'enter' ? beginConfirm(state) : state, act: null };
  }
  if (key.name === 'up' || key.name === 'back_tab') return put({ isNaming: true });
  if (key.name === 'down' || key.name === 'tab') return put({ isNaming: false });
  if (screen.isNaming) {
    if (key.name === 'enter') return put({ isNaming: screen.who.trim() === '' });
    const who = typeText(screen.who, key);
    return who === null ? { state, act: null } : put({ who, wrong: null });
  }
  if (key.name !== 'letter' || state.busy !== null) return { state, act: null };
  const caution = cautions[Number(key.letter) - 1];
  if (caution !== undefined) {
    const { code } = caution;
    const ticked = screen.ticked.includes(code)
      ? screen.ticked.filter((one) => one !== code)
      : [...screen.ticked, code];
    return put({ ticked, wrong: null });
  }
  if (key.letter !== 'y') return { state, act: null };
  const who = screen.who.trim();
  if (who === '') return put({ isNaming: true, wrong: 'Your name is missing.' });
  if (cautions.some(({ code }) => !screen.ticked.includes(code))) {
    return put({ wrong: 'Look at each caution and tick it by its number.' });
  }
  const request = state.requests + 1;
  return {
    state: { ...state, who, requests: request, busy: 'Confirming' },
    act: { kind: 'confirm', request, read: screen.read, who, cautions: screen.ticked },
  };
}
