import type { Form, FormField } from './form.ts';
import { readForm, type SiteReading } from './read-form.ts';
import type { Key } from './read-keys.ts';
import { type Pressed, type ReviewState, type Screen, show } from './review-state.ts';
import { typeText } from './type-text.ts';

/** A key on a form: it types, chooses, moves, or asks for the preview. */
export function pressInForm(
  state: ReviewState,
  { form }: Extract<Screen, { kind: 'form' }>,
  key: Key,
  site: SiteReading,
): Pressed {
  const isLast = form.at === form.fields.length - 1;
  switch (key.name) {
    case 'escape':
      return { state: show(state, { kind: 'morning' }), act: null };
    case 'up':
    case 'back_tab':
      return { state: withForm(state, at(form, form.at - 1)), act: null };
    case 'down':
    case 'tab':
      return { state: withForm(state, at(form, form.at + 1)), act: null };
    case 'enter':
      if (!isLast && !isReady(form)) return { state: withForm(state, nextEmpty(form)), act: null };
      return ask(state, form, site);
    default:
      return { state: withForm(state, edited(form, key)), act: null };
  }
}

/** A key on a preview: keep it, go back to the form, or drop it. */
export function pressInPreview(
  state: ReviewState,
  screen: Extract<Screen, { kind: 'preview' }>,
  key: Key,
): Pressed {
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
      busy: 'Kept, and a fresh plan is being made',
      note: null,
    },
    act: { kind: 'change', request, change, who: state.who },
  };
}

function ask(state: ReviewState, form: Form, site: SiteReading): Pressed {
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
        wrong: `${label}: ${read.message}`,
      }),
      act: null,
    };
  }
  const { change, who } = read;
  const request = state.requests + 1;
  const screen: Screen = { kind: 'preview', form: { ...form, wrong: null }, change, seen: null };
  return {
    state: { ...show(state, screen), who, requests: request, busy: 'Working out before and after' },
    act: { kind: 'preview', request, change, who },
  };
}

function withForm(state: ReviewState, form: Form): ReviewState {
  return { ...state, screen: { kind: 'form', form } };
}

function at(form: Form, field: number): Form {
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
  return at(form, empty === -1 ? form.at + 1 : empty);
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
