import type { z } from 'zod';
import type { Language } from '../../adapters/contract.ts';
import type { DisplayUnits } from '../../adapters/display-units.ts';
import { type MessageValues, type Say, sayIn, sayNamed } from '../words/language.ts';
import { shownUnit } from '../words/number-unit.ts';
import { type Field, fieldsOf } from './fields.ts';
import { ACTIONS } from './list.ts';
import type { ActionSpec, FormFacts, FormStart } from './spec.ts';

/** A form as every face shows it: its words, and what each field may be. */
export interface FormView {
  kind: string;
  name: string;
  intro: string;
  /** Why nothing can be done now; null: something can. */
  nothing: string | null;
  isPlanned: boolean;
  /** It begins with what stands: something has to be changed first. */
  beginsAsItStands: boolean;
  fields: FieldView[];
}

interface OfEveryView {
  key: string;
  label: string;
  hint: string;
  isNeeded: boolean;
  isMore: boolean;
  /** The value that the form begins with; null: none. */
  value: unknown;
}

/** A number is told as its value times `perUnit`, with so many decimals and its unit. */
interface NumberView extends OfEveryView {
  kind: 'number';
  atLeast: number;
  atMost: number;
  step: number;
  perUnit: number;
  decimals: number;
  unit: string;
}

interface ChoiceView extends OfEveryView {
  kind: 'choice';
  choices: { value: unknown; words: string }[];
}

interface TextView extends OfEveryView {
  kind: 'text';
  atMost: number;
  /** Texts that can be taken with a tap. */
  suggestions: string[];
}

interface BedsView extends OfEveryView {
  kind: 'beds';
  hasAll: boolean;
}

interface TimeView extends OfEveryView {
  kind: 'time';
  isPast: boolean;
}

interface BedView extends OfEveryView {
  kind: 'bed';
}

export type FieldView = NumberView | ChoiceView | TextView | BedsView | TimeView | BedView;

/** The form of an action for a person, as things stand. */
export function formView(
  spec: ActionSpec,
  facts: FormFacts,
  reader: { language: Language; units: DisplayUnits },
): FormView {
  const say = sayIn(reader.language);
  const start = spec.begin?.(facts) ?? {};
  const told = toldBy(say);
  const intro = start.intro === undefined ? 'intro' : `intro_${start.intro}`;
  const { kind, isPlanned, beginsAsItStands = false } = spec;
  return {
    kind,
    name: told(`act.${kind}`),
    intro: told(`act.${kind}.${intro}`, stagesIn(start.facts ?? {}, told)),
    nothing: start.isNothing === true ? told(`act.${kind}.nothing`) : null,
    isPlanned,
    beginsAsItStands,
    fields: fieldsOf(spec.schema)
      .filter(({ field }) => field.isForCommand !== true)
      .map(({ key, field, schema }) =>
        fieldView({ key, field, schema, kind, start, told, units: reader.units }),
      )
      .filter((view) => view.kind !== 'choice' || view.choices.length > 0),
  };
}

type Told = (key: string, values?: MessageValues) => string;

/** A message, or nothing where there is none of that name. */
function toldBy(say: Say): Told {
  return (key, values) => sayNamed(say, key, values) ?? '';
}

function stagesIn(facts: MessageValues, told: Told): MessageValues {
  return Object.fromEntries(
    Object.entries(facts).map(([name, value]) => [
      name,
      name.endsWith('Stage') ? told(`stage.${value}`) : value,
    ]),
  );
}

function fieldView(given: {
  key: string;
  field: Field;
  schema: z.ZodType;
  kind: string;
  start: FormStart;
  told: Told;
  units: DisplayUnits;
}): FieldView {
  const { key, field, kind, start, told, units } = given;
  // What a field is where nothing is said.
  const unsaid = given.schema.safeParse(undefined);
  const name = `field.${kind}.${key}`;
  const common = {
    key,
    label: told(name),
    hint: told(`${name}.hint`),
    isNeeded: !('isNeeded' in field) || field.isNeeded,
    isMore: field.isMore === true,
    value: start.values?.[key] ?? (unsaid.success ? unsaid.data : null) ?? null,
  };
  switch (field.kind) {
    case 'number': {
      const { atLeast, atMost } = field;
      const { perUnit, decimals, unit, step } = shownUnit(field.unit, units);
      const value = common.value as number | null;
      return {
        ...common,
        kind: 'number',
        value: value === null || step === null ? value : Math.round(value / step) * step,
        atLeast,
        atMost,
        step: step ?? field.step,
        perUnit,
        decimals,
        unit,
      };
    }
    case 'text':
      return {
        ...common,
        kind: 'text',
        atMost: field.atMost,
        suggestions: [
          ...told(`${name}.taps`)
            .split('|')
            .filter((text) => text !== ''),
          ...(start.suggestions?.[key] ?? []),
        ],
      };
    case 'choice': {
      const choices = start.choices?.[key] ?? [];
      return {
        ...common,
        kind: 'choice',
        choices: choices.map(({ value, words }) => ({ value, words: told(words) || words })),
      };
    }
    case 'flag':
      return {
        ...common,
        kind: 'choice',
        value: common.value ?? false,
        choices: [
          { value: false, words: told(`${name}.no`) },
          { value: true, words: told(`${name}.yes`) },
        ],
      };
    case 'time':
      return { ...common, isNeeded: false, kind: 'time', isPast: field.isPast };
    case 'beds':
      return { ...common, kind: 'beds', hasAll: field.hasAll };
    case 'bed':
      return { ...common, kind: 'bed' };
  }
}

/** An action in the list of those that a person can choose from. */
export interface ActionChoice {
  kind: string;
  name: string;
  /** When it is the right one. */
  when: string;
}

/** What a person can choose to do, in the order in which it is offered. */
export function actionChoices(say: Say): ActionChoice[] {
  const told = toldBy(say);
  return ACTIONS.filter((spec) => spec.isListed).map(({ kind }) => ({
    kind,
    name: told(`act.${kind}`),
    when: told(`act.${kind}.for`),
  }));
}
