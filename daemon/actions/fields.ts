import { z } from 'zod';
import type { NumberUnit } from '../words/number-unit.ts';

interface OfEveryField {
  /** Its option at the command line, and what a refusal calls it. */
  option: string;
  /** As a person writes it; in the first example of the help where it is given. */
  example?: string;
  /** Asked for at the command line alone. */
  isForCommand?: true;
  /** Stands folded away where there is room for that. */
  isMore?: true;
}

export interface BedField extends OfEveryField {
  kind: 'bed';
}

export interface BedsField extends OfEveryField {
  kind: 'beds';
  /** Whether all beds may be asked for as one word, `all`. */
  hasAll: boolean;
}

export interface TextField extends OfEveryField {
  kind: 'text';
  /** Most letters. */
  atMost: number;
  isNeeded: boolean;
}

export interface NumberField extends OfEveryField {
  kind: 'number';
  unit: NumberUnit;
  /** Bounds, both inclusive, and the step of a button, in the value's own unit. */
  atLeast: number;
  atMost: number;
  step: number;
  isNeeded: boolean;
  /** A second option for the same, whose bare numbers are in its own unit. */
  also?: { option: string; unit: string };
}

export interface TimeField extends OfEveryField {
  kind: 'time';
  /** The last such time of the clock is meant, not the next one. */
  isPast: boolean;
}

export interface ChoiceField extends OfEveryField {
  kind: 'choice';
  /** Values, each as it is typed at a command line. What depends on the site is given when it is asked. */
  choices: readonly { value: unknown; typed: string }[];
}

export interface FlagField extends OfEveryField {
  kind: 'flag';
}

export type Field =
  | BedField
  | BedsField
  | TextField
  | NumberField
  | TimeField
  | ChoiceField
  | FlagField;

const withField = <T extends z.ZodType>(schema: T, field: Field): T => schema.meta({ field }) as T;

const bedIdSchema = z.string().min(1).max(64);

/** One bed, by its id. */
export function bed(given: Partial<OfEveryField> = {}) {
  return withField(bedIdSchema, { kind: 'bed', option: 'bed', example: 'green-3', ...given });
}

/** Several beds, by their ids. */
export function beds(given: Partial<OfEveryField> = {}) {
  const schema = z.array(bedIdSchema).max(2000);
  return withField(schema, {
    kind: 'beds',
    hasAll: false,
    option: 'bed',
    example: 'green-3',
    ...given,
  });
}

/** Several beds, or all of the site. */
export function bedsOrAll(given: Partial<OfEveryField> = {}) {
  const schema: z.ZodType<'all' | string[], 'all' | string[]> = z.union([
    z.literal('all'),
    z.array(bedIdSchema).max(2000),
  ]);
  return withField(schema, {
    kind: 'beds',
    hasAll: true,
    option: 'bed',
    example: 'green-3 green-4',
    ...given,
  });
}

/** A person's own words, which have to be given. */
export function text(given: Omit<TextField, 'kind' | 'isNeeded'>) {
  const field: TextField = { kind: 'text', isNeeded: true, ...given };
  // An empty one is refused by what it is asked for, not by its length.
  return withField(z.string().max(10 * given.atMost), field);
}

/** A person's own words, or null. */
export function textOrNone(given: Omit<TextField, 'kind' | 'isNeeded'>) {
  const field: TextField = { kind: 'text', isNeeded: false, ...given };
  return withField(
    z
      .string()
      .max(10 * given.atMost)
      .nullable()
      .default(null),
    field,
  );
}

/** A number within bounds. */
export function number(given: Omit<NumberField, 'kind' | 'isNeeded'>) {
  return withField(z.number().min(given.atLeast).max(given.atMost), {
    kind: 'number',
    isNeeded: true,
    ...given,
  });
}

/** A number within bounds, or null, which has to be said. */
export function numberOrCleared(given: Omit<NumberField, 'kind' | 'isNeeded'>) {
  return withField(z.number().min(given.atLeast).max(given.atMost).nullable(), {
    kind: 'number',
    isNeeded: true,
    ...given,
  });
}

/** A number within bounds that has a value where none is given. */
export function numberOr(value: number, given: Omit<NumberField, 'kind' | 'isNeeded'>) {
  return withField(z.number().min(given.atLeast).max(given.atMost).default(value), {
    kind: 'number',
    isNeeded: false,
    ...given,
  });
}

/** A number within bounds, or null. */
export function numberOrNone(given: Omit<NumberField, 'kind' | 'isNeeded'>) {
  return withField(z.number().min(given.atLeast).max(given.atMost).nullable().default(null), {
    kind: 'number',
    isNeeded: false,
    ...given,
  });
}

/** An instant, milliseconds since 1970, or null. */
export function timeOrNone(given: Omit<TimeField, 'kind'>) {
  return withField(z.int().min(0).nullable().default(null), { kind: 'time', ...given });
}

/** One of several values. */
export function choice<T extends z.ZodType>(schema: T, given: Omit<ChoiceField, 'kind'>): T {
  return withField(schema, { kind: 'choice', ...given });
}

/** Yes or no; no where nothing is said. */
export function flag(given: Omit<FlagField, 'kind'>) {
  return withField(z.boolean().default(false), { kind: 'flag', ...given });
}

/** The fields of an action in the order in which they are asked for. */
export function fieldsOf(schema: z.ZodObject): { key: string; field: Field; schema: z.ZodType }[] {
  return Object.entries(schema.shape).flatMap(([key, part]) => {
    const field = (part as z.ZodType).meta()?.['field'] as Field | undefined;
    return field === undefined ? [] : [{ key, field, schema: part as z.ZodType }];
  });
}
