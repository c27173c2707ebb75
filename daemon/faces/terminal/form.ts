import { type FieldView, formView } from '../../actions/form-view.ts';
import { ACTIONS } from '../../actions/list.ts';
import type { ActionSpec } from '../../actions/spec.ts';
import { bareNumber } from '../../words/number-unit.ts';
import { sayInTerminal as say } from '../../words/terminal.ts';
import { formFacts } from '../web/views/form-facts.ts';
import type { TodayBed, TodayView } from '../web/views/today-view.ts';

/** One line of a form: typed, or chosen from a few. */
export interface FormField {
  key: string;
  label: string;
  text: string;
  /** What it can be; null: it is typed. */
  choices: readonly { value: unknown; words: string }[] | null;
  hint: string;
  /** It may stay empty. */
  isOptional: boolean;
  /** Filled in beforehand: the first letter takes its place. */
  isFresh: boolean;
}

/** A change that a person is writing down. */
export interface Form {
  spec: ActionSpec;
  title: string;
  intro: string;
  bedId: string;
  fields: readonly FormField[];
  /** The field that the cursor stands on. */
  at: number;
  /** What is wrong with it; null: nothing that is known. */
  wrong: string | null;
}

/** The action whose form a letter opens; null: none has it. */
export function actionByLetter(letter: string): ActionSpec | null {
  return ACTIONS.find((spec) => spec.letter === letter) ?? null;
}

/** The form of an action with what stands already filled in, or why there is nothing to do. */
export function openForm(
  spec: ActionSpec,
  given: { view: TodayView; bed: TodayBed; who: string },
): Form | string {
  const { view, bed, who } = given;
  const { units } = view.site;
  const facts = formFacts(view, { bedId: bed.id, signs: [] });
  const form = formView(spec, facts, { language: 'en', units });
  if (form.nothing !== null) return form.nothing;
  const hasBed = form.fields.some(({ kind }) => kind === 'bed' || kind === 'beds');
  return {
    spec,
    title: hasBed ? `${form.name}: ${bed.name}` : form.name,
    intro: form.intro,
    bedId: bed.id,
    fields: [
      ...form.fields.flatMap((field) => lineOf(field, bed)),
      { ...NAME, text: who, isFresh: who !== '' },
    ],
    at: 0,
    wrong: null,
  };
}

const NAME = {
  key: 'who',
  label: say('change.name'),
  choices: null,
  hint: '',
  isOptional: false,
};

/** A field as a line; the bed is the one that was chosen on the first screen. */
function lineOf(field: FieldView, bed: TodayBed): FormField[] {
  const { key, label, value, isNeeded } = field;
  const common = { key, label, hint: field.hint, isOptional: !isNeeded, isFresh: false };
  switch (field.kind) {
    case 'bed':
      return [];
    case 'beds': {
      const choices = [
        { value: [bed.id], words: bed.name },
        { value: 'all', words: say('change.all_beds') },
      ];
      return field.hasAll
        ? [{ ...common, text: JSON.stringify(value === 'all' ? 'all' : [bed.id]), choices }]
        : [];
    }
    case 'choice':
      return [{ ...common, text: JSON.stringify(value), choices: field.choices }];
    case 'number': {
      const { atLeast, atMost, unit } = field;
      const bare = (number: number) => bareNumber(number, { ...field, step: null });
      const bounds = `${unit} (${bare(atLeast)} to ${bare(atMost)})`.trim();
      const hint = [bounds, field.hint].filter((part) => part !== '').join('; ');
      const text = typeof value === 'number' ? bare(value) : '';
      return [{ ...common, hint, text, choices: null, isFresh: text !== '' }];
    }
    case 'time':
      return [{ ...common, hint: `${say('change.time')}; ${field.hint}`, text: '', choices: null }];
    case 'text':
      return [
        { ...common, hint: field.hint || field.suggestions.join(', '), text: '', choices: null },
      ];
  }
}
