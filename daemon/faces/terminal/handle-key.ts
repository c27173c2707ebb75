import { sayInTerminal as say } from '../../words/terminal.ts';
import { withoutControls } from '../../words/text-columns.ts';
import { actionByLetter, type Form, type FormField, openForm } from './form.ts';
import { readForm, type SiteReading } from './read-form.ts';
import type { Key, NamedKey } from './read-keys.ts';
import {
  type ConfirmScreen,
  isTyping,
  type KeyResult,
  type PlanRead,
  type ReviewState,
  type Screen,
  show,
} from './review-state.ts';

/** Lines that a page key moves. */
const PAGE_LINES = 10;

/** The review after a key. Stopping water and leaving are heard on every screen. */
export function handleKey(state: ReviewState, key: Key, site: SiteReading): KeyResult {
  const { screen } = state;
  if (key.name === 'ctrl_c') return { state, act: { kind: 'leave' } };
  if (screen.kind === 'hold') return handleHoldKey(state, screen.back, key);
  const letter = key.name === 'letter' ? key.letter : null;
  if (letter === '!') return withoutAct(toHold(state));
  if (screen.kind === 'form') return handleFormKey(state, screen, key, site);
  if (screen.kind === 'confirm') {
    if (letter === 'h' && !isTyping(state)) return withoutAct(toHold(state));
    return handleConfirmKey(state, screen, key);
  }
  if (letter === 'h') return withoutAct(toHold(state));
  if (screen.kind === 'preview') return handlePreviewKey(state, screen, key);
  if (letter !== null) return withoutAct(command(state, letter), letter);
  return withoutAct(move(state, key.name as NamedKey));
}

function withoutAct(state: ReviewState, letter = ''): KeyResult {
  return { state, act: letter === 'q' ? { kind: 'leave' } : null };
}

function toHold(state: ReviewState): ReviewState {
  return { ...state, screen: { kind: 'hold', back: state.screen } };
}

function handleHoldKey(state: ReviewState, back: Screen, key: Key): KeyResult {
  const letter = key.name === 'letter' ? key.letter.toLowerCase() : '';
  const after: ReviewState = { ...state, screen: back };
  const who = state.who.trim() === '' ? say('stop.somebody') : state.who.trim();
  const note = { text: say('stop.under_way'), tone: 'warn' } as const;
  if (letter === 'a') {
    return { state: { ...after, note }, act: { kind: 'hold', beds: 'all', who } };
  }
  if (letter === 'b' && state.chosen !== null) {
    return { state: { ...after, note }, act: { kind: 'hold', beds: [state.chosen], who } };
  }
  if (key.name === 'escape') return withoutAct(after);
  return withoutAct(state);
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
    return { ...state, note: { text: say('change.no_plan'), tone: 'warn' } };
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

/** The plan that a confirm would name, as it stands now. */
export function planToRead(state: ReviewState): PlanRead | null {
  const newest = state.view?.newest ?? null;
  if (newest === null) return null;
  const { revision, digest, shortDigest, siteDay } = newest;
  return { revision, digest, shortDigest, siteDay };
}

/** Opens the confirm of the newest plan, with nothing ticked. */
function beginConfirm(state: ReviewState): ReviewState {
  const read = planToRead(state);
  const newest = state.view?.newest ?? null;
  if (read === null || newest === null) {
    return { ...state, note: { text: say('confirm.none'), tone: 'warn' } };
  }
  if (newest.standing !== 'held') {
    const text = say('confirm.not_held', { standing: newest.standingLine });
    return { ...state, note: { text, tone: 'plain' } };
  }
  return show(state, {
    kind: 'confirm',
    read,
    who: state.who,
    ticked: [],
    without: null,
    isNaming: state.who.trim() === '',
    overtaken: null,
    wrong: null,
  });
}

/**
 * A key on the confirm: the name, then each caution by its own number, and at last `y`. No key does
 * two of these, so that a key held down lets no water out.
 */
function handleConfirmKey(state: ReviewState, screen: ConfirmScreen, key: Key): KeyResult {
  const cautions = state.view?.cautions ?? [];
  const put = (more: Partial<ConfirmScreen>): KeyResult => ({
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
  const offered = state.view?.leeway?.beds.map(({ id }) => id) ?? [];
  if (key.letter === 'w' && offered.length > 0) {
    return put({ without: screen.without === null ? [] : null, wrong: null });
  }
  if (key.letter === 'b' && screen.without !== null && state.chosen !== null) {
    const { chosen } = state;
    const others = screen.without.filter((id) => id !== chosen);
    const isOut = others.length < screen.without.length;
    return put({ without: isOut ? others : [...others, chosen], wrong: null });
  }
  if (key.letter !== 'y') return { state, act: null };
  const who = screen.who.trim();
  if (who === '') return put({ isNaming: true, wrong: say('confirm.no_name') });
  if (cautions.some(({ code }) => !screen.ticked.includes(code))) {
    return put({ wrong: say('confirm.not_ticked') });
  }
  const request = state.requests + 1;
  return {
    state: { ...state, who, requests: request, busy: say('confirm.under_way') },
    act: {
      kind: 'confirm',
      request,
      read: screen.read,
      who,
      cautions: screen.ticked,
      leewayBedIds:
        screen.without === null ? null : offered.filter((id) => !screen.without?.includes(id)),
    },
  };
}

/** A key on a form: it types, chooses, moves, or asks for the preview. */
function handleFormKey(
  state: ReviewState,
  { form }: Extract<Screen, { kind: 'form' }>,
  key: Key,
  site: SiteReading,
): KeyResult {
  const isLast = form.at === form.fields.length - 1;
  switch (key.name) {
    case 'escape':
      return { state: show(state, { kind: 'morning' }), act: null };
    case 'up':
    case 'back_tab':
      return { state: withForm(state, withFocus(form, form.at - 1)), act: null };
    case 'down':
    case 'tab':
      return { state: withForm(state, withFocus(form, form.at + 1)), act: null };
    case 'enter':
      if (!isLast && !isReady(form)) return { state: withForm(state, nextEmpty(form)), act: null };
      return askForPreview(state, form, site);
    default:
      return { state: withForm(state, edited(form, key)), act: null };
  }
}

/** A key on a preview: keep it, go back to the form, or drop it. */
function handlePreviewKey(
  state: ReviewState,
  screen: Extract<Screen, { kind: 'preview' }>,
  key: Key,
): KeyResult {
  const { form, change, seen } = screen;
  if (key.name === 'escape') {
    const isKeeping = seen !== null && state.busy !== null;
    if (isKeeping) return { state, act: null };
    // The answer that is still under way is let go.
    const requests = state.requests + 1;
    return { state: { ...show(state, { kind: 'form', form }), busy: null, requests }, act: null };
  }
  if (key.name === 'up' || key.name === 'down') {
    const scroll = Math.max(0, state.scroll + (key.name === 'up' ? -1 : 1));
    return { state: { ...state, scroll }, act: null };
  }
  const keeps = key.name === 'letter' && key.letter === 'y';
  // Nothing is kept before its preview was shown, and nothing twice.
  if (!keeps || seen === null || state.busy !== null) return { state, act: null };
  const request = state.requests + 1;
  return {
    state: {
      ...state,
      requests: request,
      busy: say('change.keeping'),
      note: null,
    },
    act: { kind: 'change', request, change, who: state.who },
  };
}

function askForPreview(state: ReviewState, form: Form, site: SiteReading): KeyResult {
  const { view } = state;
  if (view === null) return { state, act: null };
  const read = readForm(form, view.nowMs, site);
  if (!read.ok) {
    const field = form.fields.findIndex((one) => one.key === read.key);
    const label = form.fields[field]?.label ?? read.key;
    return {
      state: withForm(state, {
        ...form,
        at: field === -1 ? form.at : field,
        wrong: say('change.wrong', { field: label, why: read.message }),
      }),
      act: null,
    };
  }
  const { change, who } = read;
  const request = state.requests + 1;
  const screen: Screen = { kind: 'preview', form: { ...form, wrong: null }, change, seen: null };
  return {
    state: { ...show(state, screen), who, requests: request, busy: say('change.previewing') },
    act: { kind: 'preview', request, change, who },
  };
}

function withForm(state: ReviewState, form: Form): ReviewState {
  return { ...state, screen: { kind: 'form', form } };
}

function withFocus(form: Form, field: number): Form {
  return { ...form, at: Math.min(form.fields.length - 1, Math.max(0, field)) };
}

/** Every field that has to be filled in is. */
function isReady(form: Form): boolean {
  return form.fields.every((field) => field.text.trim() !== '' || field.isOptional);
}

function nextEmpty(form: Form): Form {
  const empty = form.fields.findIndex(
    (field, index) => index > form.at && field.text.trim() === '' && !field.isOptional,
  );
  return withFocus(form, empty === -1 ? form.at + 1 : empty);
}

function edited(form: Form, key: Key): Form {
  const field = form.fields[form.at];
  if (field === undefined) return form;
  const takesPlace = field.isFresh && key.name !== 'backspace';
  const text =
    field.choices === null ? typeText(takesPlace ? '' : field.text, key) : nextChoice(field, key);
  if (text === null) return form;
  const fields = form.fields.map((one) => (one === field ? { ...one, text, isFresh: false } : one));
  return { ...form, fields, wrong: null };
}

function nextChoice(field: FormField, key: Key): string | null {
  const choices = field.choices ?? [];
  const steps = key.name === 'left' ? -1 : key.name === 'right' || isSpace(key) ? 1 : null;
  if (steps === null || choices.length === 0) return null;
  const now = choices.findIndex((one) => JSON.stringify(one.value) === field.text);
  return JSON.stringify(choices[(now + steps + choices.length) % choices.length]?.value);
}

function isSpace(key: Key): boolean {
  return key.name === 'letter' && key.letter === ' ';
}

/** Longest text of a field, letters; acts have their own limits below it. */
const MAX_LETTERS = 200;

/** A field's text after a key, or null when the key types nothing. */
function typeText(text: string, key: Key): string | null {
  if (key.name === 'backspace') return [...text].slice(0, -1).join('');
  const more = key.name === 'letter' ? key.letter : key.name === 'pasted' ? key.text : null;
  if (more === null) return null;
  return [...(text + withoutControls(more))].slice(0, MAX_LETTERS).join('');
}
