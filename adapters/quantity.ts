import Qty from 'js-quantities';
import { z } from 'zod';
import { QUANTITY_KINDS, type QuantityKind, type QuantityKindFacts } from './quantity-units.ts';

/** Bounds of one use of a quantity, in the project's unit of its kind, both inclusive. */
export interface QuantityRange {
  min?: number;
  max?: number;
}

/** A quantity read from text, or what is wrong with the text: `<what> (got <value>); <what to do>`. */
export type QuantityReading = { ok: true; value: number } | { ok: false; message: string };

const NUMBER_AND_UNIT = /^([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[+-]?\d+)?)\s*(.*)$/i;

/**
 * Zod schema that takes text with a unit ("0.72 in/h") and gives the number in the project's unit
 * of the kind: temperature °C, temperature_difference K, speed m/s, depth mm, rate mm/h, flow
 * L/min, length m, area m², duration_s s, duration_min min, pressure kPa, fraction as a part of 1
 * (from "35 %"), volume L, solar MJ/m², salinity dS/m, angle in degrees.
 */
export function quantity(kind: QuantityKind, range: QuantityRange = {}) {
  const facts: QuantityKindFacts = QUANTITY_KINDS[kind];
  return z
    .string({ error: (issue) => notText(issue.input, facts) })
    .transform((text, context) => {
      const reading = readQuantity(text, kind, range);
      if (reading.ok) return reading.value;
      context.issues.push({ code: 'custom', message: reading.message, input: text });
      return z.NEVER;
    })
    .meta({ unit: facts.unit });
}

/** Reads one text with a unit; see `quantity`. */
export function readQuantity(
  text: string,
  kind: QuantityKind,
  range: QuantityRange = {},
): QuantityReading {
  const facts: QuantityKindFacts = QUANTITY_KINDS[kind];
  const parts = NUMBER_AND_UNIT.exec(text.trim());
  if (!parts) return refuse(`is not a number with a unit (got ${text}); ${advice(facts)}`);
  const written = Number(parts[1]);
  const spelling = (parts[2] ?? '').trim();
  if (spelling === '') return refuse(`has no unit (got ${text}); ${advice(facts)}`);
  const unit = findUnit(spelling, facts);
  if (!unit) return refuse(`has a unit that does not fit here (got ${text}); ${advice(facts)}`);
  if (!Number.isFinite(written)) return refuse(`is too large to use (got ${text}); correct it`);
  const value = convert(written * (unit.factor ?? 1), unit.library, facts);
  if (value === null) {
    return refuse(`is below absolute zero (got ${text}); correct the temperature`);
  }
  const reading = inRange(text, value, range, facts);
  if (reading.ok) return reading;
  const meant = otherUnits(text, kind, (other) => inRange('', other, range, facts).ok);
  return meant.length === 0 ? reading : refuse(`${reading.message}, or ${orText(meant)} if meant`);
}

/** More units than this help nobody to remember which was meant. */
const MOST_UNITS_SHOWN = 3;
/** Seldom meant: they measure cans and soil columns, not turf. */
const SELDOM_UNITS = ['cm²', 'in²', 'mL', 'cm/h'];

/**
 * The same number with other units of its kind, of those that make sense: "0.71 mm/h" may be meant
 * as "0.71 in/h". Empty where none does, and for text that is no number with a unit.
 *
 * @param fits true for a value, in the project's unit of the kind, that can be meant
 */
export function otherUnits(
  text: string,
  kind: QuantityKind,
  fits: (value: number) => boolean,
): string[] {
  const facts: QuantityKindFacts = QUANTITY_KINDS[kind];
  const parts = NUMBER_AND_UNIT.exec(text.trim());
  const written = findUnit((parts?.[2] ?? '').trim(), facts);
  if (!parts || !written) return [];
  return facts.units
    .filter((unit) => unit !== written && !SELDOM_UNITS.includes(unit.shown))
    .filter((unit) => {
      const value = convert(Number(parts[1]) * (unit.factor ?? 1), unit.library, facts);
      return value !== null && fits(value);
    })
    .slice(0, MOST_UNITS_SHOWN)
    .map((unit) => `${parts[1]} ${unit.shown}`);
}

/** `a, b or c`. */
function orText(texts: readonly string[]): string {
  return [texts.slice(0, -1).join(', '), texts.at(-1)].filter((part) => part !== '').join(' or ');
}

/** The kind's unit in the project, as shown: "mm/h". */
export function unitOf(kind: QuantityKind): string {
  return QUANTITY_KINDS[kind].unit;
}

/** What one of a unit is in another, by both names; the library takes a millisecond to say so. */
const factors = new Map<string, number>();

function convert(amount: number, library: string, facts: QuantityKindFacts): number | null {
  try {
    const converted = isTemperature(library)
      ? new Qty(amount, library).to(facts.library).scalar
      : amount * factorOf(library, facts.library);
    // Twelve digits: enough for any use, and few enough to shed the noise of binary factors.
    return Number((converted / (facts.libraryPerUnit ?? 1)).toPrecision(12));
  } catch {
    return null; // The only amounts that the library refuses are those below absolute zero.
  }
}

/** A temperature has a zero of its own, so that no factor makes one of another. */
function isTemperature(library: string): boolean {
  return library.startsWith('temp');
}

function factorOf(from: string, to: string): number {
  if (from === to) return 1;
  const name = `${from} ${to}`;
  const factor = factors.get(name) ?? new Qty(1, from).to(to).scalar;
  factors.set(name, factor);
  return factor;
}

function inRange(
  text: string,
  value: number,
  { min = Number.NEGATIVE_INFINITY, max = Number.POSITIVE_INFINITY }: QuantityRange,
  facts: QuantityKindFacts,
): QuantityReading {
  if (value < min) {
    return refuse(`is too small (got ${text}); use ${bound(min, facts)} or more`);
  }
  if (value > max) {
    return refuse(`is too large (got ${text}); use ${bound(max, facts)} or less`);
  }
  return { ok: true, value };
}

function bound(value: number, facts: QuantityKindFacts): string {
  if (facts.unit === 'fraction') return `${Number((value * 100).toPrecision(12))} %`;
  return `${value} ${facts.unit}`;
}

function findUnit(spelling: string, facts: QuantityKindFacts) {
  const wanted = plain(spelling);
  return facts.units.find(
    (unit) => plain(unit.shown) === wanted || unit.also?.includes(wanted) === true,
  );
}

/** Spelling without case, spaces, degree signs before letters and superscripts. */
function plain(spelling: string): string {
  return spelling
    .toLowerCase()
    .replace(/\s+/g, '')
    .replace(/²|\^2/g, '2')
    .replace(/³|\^3/g, '3')
    .replace(/[°º](?=.)/g, '');
}

function notText(input: unknown, facts: QuantityKindFacts): string {
  if (input === undefined || input === null) return `is missing; ${advice(facts)}`;
  if (typeof input === 'number') return `has no unit (got ${input}); ${advice(facts)}`;
  const got = Array.isArray(input) ? 'a list' : typeof input === 'object' ? 'a map' : `${input}`;
  return `is not a number with a unit (got ${got}); ${advice(facts)}`;
}

function advice(facts: QuantityKindFacts): string {
  const units = facts.units.map((unit) => unit.shown).join(', ');
  const many = facts.units.length > 1 ? `one of ${units}` : units;
  return `write ${facts.name} as a number and ${many}`;
}

function refuse(message: string): QuantityReading {
  return { ok: false, message };
}
