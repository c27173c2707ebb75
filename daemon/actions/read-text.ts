import type { DisplayUnits } from '../../adapters/display-units.ts';
import { readQuantity } from '../../adapters/quantity.ts';
import type { QuantityKind } from '../../adapters/quantity-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import { localOrInstant } from '../site/time/site-clock.ts';
import { type NumberUnit, shownUnit } from '../words/number-unit.ts';
import { ActionRefused, refuse } from './action-context.ts';
import type { Field, NumberField } from './fields.ts';

/** What texts of a person are read with. */
export interface TextReading {
  clock: SiteClock;
  units: DisplayUnits;
  nowMs: number;
  /** Nothing beside the text tells its unit, so that it has to. */
  needsUnit?: boolean;
}

/**
 * The value of a field that a person has written, a bare number in the person's own unit.
 * @throws ActionRefused that names its option.
 */
export function readField(field: Field, text: string, reading: TextReading): unknown {
  switch (field.kind) {
    case 'number':
      return numberOf(field, text, reading);
    case 'time':
      return timeOf(field.option, text, reading);
    case 'choice': {
      // Where the values depend on the site they are numbers of rows.
      if (field.choices.length === 0) return Number(text);
      const found = field.choices.find(({ typed }) => typed === text);
      if (found !== undefined) return found.value;
      const choices = field.choices.map(({ typed }) => typed).join(', ');
      throw refuse(field.option, 'no_such_choice', { got: text, choices });
    }
    default:
      return text;
  }
}

const QUANTITIES: Readonly<Partial<Record<NumberUnit, QuantityKind>>> = {
  temperature_difference: 'temperature_difference',
  depth: 'depth',
  minutes: 'duration_s',
  hours: 'duration_s',
  share: 'fraction',
  volume: 'volume',
};

/** Numbers whose option does not tell a unit. */
const UNIT_UNTOLD: ReadonlySet<NumberUnit> = new Set(['depth', 'hours', 'volume']);

const BARE = /^[+-]?(\d+\.?\d*|\.\d+)$/;

function numberOf(
  field: NumberField,
  text: string,
  { units, needsUnit = false }: TextReading,
): number {
  const { option, unit, atLeast, atMost } = field;
  const given = text.trim().replace(',', '.');
  if (given === '') throw refuse(option, 'number_missing');
  const kind = QUANTITIES[unit];
  if (kind === undefined) {
    const value = Number(given.replace(/\s*%$/, ''));
    if (Number.isFinite(value)) return value;
    throw refuse(option, 'no_number', { got: text });
  }
  const shown = shownUnit(unit, units).unit;
  const isBare = BARE.test(given) && !(needsUnit && UNIT_UNTOLD.has(unit));
  const reading = readQuantity(isBare ? `${given} ${shown}` : given, kind, {
    min: atLeast,
    max: atMost,
  });
  if (reading.ok) return reading.value;
  throw new ActionRefused(option, reading.message);
}

function timeOf(option: string, text: string, { clock, nowMs }: TextReading): number {
  const atMs = localOrInstant(text, nowMs, clock);
  if (atMs === null) throw refuse(option, 'no_time', { got: text });
  return atMs;
}
