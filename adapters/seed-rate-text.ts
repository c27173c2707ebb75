import type { QuantityReading } from './quantity.ts';

const KG_PER_LB = 0.45359237;
const M2_PER_FT2 = 0.09290304;
const FT2_PER_ACRE = 43_560;

/** Spellings without case and spaces, and how many kg/m² each stands for. */
const UNITS: readonly (readonly [shown: string, kgPerM2: number])[] = [
  ['lb/1000ft2', KG_PER_LB / (1000 * M2_PER_FT2)],
  ['lb/acre', KG_PER_LB / (FT2_PER_ACRE * M2_PER_FT2)],
  ['g/m2', 0.001],
  ['kg/ha', 1e-4],
];
const LEAST_KG_PER_M2 = 0.0001;
const MOST_KG_PER_M2 = 0.2;

/** Reads a rate of seed ("1.5 lb/1000 ft²", "7.3 g/m²") as kg/m². */
export function readSeedRate(text: string): QuantityReading {
  const parts = /^([+-]?(?:\d+(?:\.\d*)?|\.\d+))\s*([a-z].*)$/i.exec(text.trim());
  const advice = `write a number and one of ${UNITS.map(([shown]) => shown).join(', ')}`;
  if (parts === null) {
    return { ok: false, message: `is not a number with a unit (got ${text}); ${advice}` };
  }
  const spelling = (parts[2] ?? '')
    .toLowerCase()
    .replace(/\s+|,/g, '')
    .replace(/²|\^2/g, '2')
    .replace(/^lbs/, 'lb')
    .replace(/sqft$|sq\.ft\.?$/, 'ft2');
  const unit = UNITS.find(([shown]) => shown === spelling);
  if (unit === undefined) {
    return { ok: false, message: `has a unit that does not fit here (got ${text}); ${advice}` };
  }
  const value = Number(parts[1]) * unit[1];
  if (value < LEAST_KG_PER_M2 || value > MOST_KG_PER_M2) {
    return { ok: false, message: `is no rate of seed (got ${text}); use 0.1 to 200 g/m2` };
  }
  return { ok: true, value };
}
