import { beginConfirm, pressInConfirm } from './confirm-keys.ts';
import { actionByLetter, openForm } from './form.ts';
import { pressInForm, pressInPreview } from './form-keys.ts';
import type { SiteReading } from './read-form.ts';
import type { Key, NamedKey } from './read-keys.ts';
import { isTyping, type Pressed, type ReviewState, type Screen, show } from './review-state.ts';

/** Lines that a page key moves. */
const PAGE_LINES = 10;

/** The review after a key. Hold and leave are heard on every screen. */
export function pressKey(state: ReviewState, key: Key, site: SiteReading): Pressed {
  const { screen } = state;
  if (key.name === 'ctrl_c') return { state, act: { kind: 'leave' } };
  if (screen.kind === 'hold') return pressInHold(state, screen.back, key);
  const letter = key.name === 'letter' ? key.letter : null;
  if (letter === '!') return only(toHold(state));
  if (screen.kind === 'form') return pressInForm(state, screen, key, site);
  if (screen.kind === 'confirm') {
    if (letter === 'h' && !isTyping(state)) return only(toHold(state));
    return pressInConfirm(state, screen, key);
  }
  if (letter === 'h') return only(toHold(state));
  if (screen.kind === 'preview') return pressInPreview(state, screen, key);
  if (letter !== null) return only(command(state, letter), letter);
  return only(move(state, key.name as NamedKey));
}

function only(state: ReviewState, letter = ''): Pressed {
  return { state, act: letter === 'q' ? { kind: 'leave' } : null };
}

function toHold(state: ReviewState): ReviewState {
  return { ...state, screen: { kind: 'hold', back: state.screen } };
}

function pressInHold(state: ReviewState, back: Screen, key: Key): Pressed {
  const letter = key.name === 'letter' ? key.letter.toLowerCase() : '';
  const after: ReviewState = { ...state, screen: back };
  const who = state.who.trim() === '' ? 'someone at the terminal' : state.who.trim();
  const note = { text: 'Stopping water ...', tone: 'warn' } as const;
  if (letter === 'a') {
    return { state: { ...after, note }, act: { kind: 'hold', beds: 'all', who } };
  }
  if (letter === 'b' && state.chosen !== null) {
    return { state: { ...after, note }, act: { kind: 'hold', beds: [state.chosen], who } };
  }
  if (key.name === 'escape') return only(after);
  return only(state);
}

function command(state: ReviewState, letter: string): ReviewState {
  switch (letter) {
    case '?':
      return show(state, { kind: 'help' });
    case 'l':
      return show(state, { kind: 'line' });
    case 'm':
      return show(state, { kind: 'more' });
    case 'c':
      return beginConfirm(state);
  }
  const spec = actionByLetter(letter);
  if (spec === null) return state;
  const { view } = state;
  const bed = view?.beds.find((one) => one.id === state.chosen);
  if (view === null || bed === undefined) {
    return { ...state, note: { text: 'There is no plan to change yet.', tone: 'warn' } };
  }
  const form = openForm(spec, { view, bed, who: state.who });
  if (typeof form === 'string') return { ...state, note: { text: form, tone: 'plain' } };
  return show(state, { kind: 'form', form });
}

function move(state: ReviewState, name: NamedKey): ReviewState {
  const { screen } = state;
  if (name === 'escape') return show(state, { kind: 'morning' });
  if (screen.kind === 'morning' || screen.kind === 'line') {
    const steps: Partial<Record<NamedKey, number>> = {
      up: -1,
      down: 1,
      page_up: -PAGE_LINES,
      page_down: PAGE_LINES,
      home: Number.NEGATIVE_INFINITY,
      end: Number.POSITIVE_INFINITY,
    };
    if (name === 'enter') return show(state, { kind: 'bed' });
    return choose(state, steps[name] ?? 0);
  }
  if (screen.kind === 'bed') {
    if (name === 'left') return { ...choose(state, -1), scroll: 0 };
    if (name === 'right') return { ...choose(state, 1), scroll: 0 };
  }
  if (name === 'enter') return show(state, { kind: 'morning' });
  const lines: Partial<Record<NamedKey, number>> = {
    up: -1,
    down: 1,
    page_up: -PAGE_LINES,
    page_down: PAGE_LINES,
  };
  if (name === 'home') return { ...state, scroll: 0 };
  return { ...state, scroll: Math.max(0, state.scroll + (lines[name] ?? 0)) };
}

/** Another bed, so many further on in the order of their dryness. */
function choose(state: ReviewState, steps: number): ReviewState {
  const beds = state.view?.beds ?? [];
  if (steps === 0 || beds.length === 0) return state;
  const at = Math.max(
    0,
    beds.findIndex((bed) => bed.id === state.chosen),
  );
  const to = Math.min(beds.length - 1, Math.max(0, at + steps));
  return { ...state, chosen: beds[to]?.id ?? state.chosen, note: null };
}
