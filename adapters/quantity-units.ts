/** One way to write a unit, and what the conversion library is asked for: `factor` of `library`. */
interface UnitSpelling {
  /** How error texts name the unit. */
  shown: string;
  /** Further spellings, lower case, without spaces. */
  also?: readonly string[];
  /** Unit as js-quantities knows it. */
  library: string;
  /** How many of the library's units make one of this; 1 when absent. */
  factor?: number;
}

/** A kind of quantity: the project's unit, and the spellings that the config takes. */
export interface QuantityKindFacts {
  /** What error texts call it. */
  name: string;
  /** The project's unit, as shown. */
  unit: string;
  /** The project's unit as js-quantities knows it. */
  library: string;
  /** How many of the library's units make one of the project's; 1 when absent. */
  libraryPerUnit?: number;
  units: readonly UnitSpelling[];
}

// US customary units are asked for by their exact definitions (1 US gallon = 231 in³, 1 nautical
// mile = 1852 m, 1 acre = 43 560 ft²) because the library's own gallon, knot and acre are rounded
// at the eighth digit. Definitions: NIST SP 811 (2008), Appendix B. The acre there is that of the
// survey foot; the international foot, 2 parts in a million away, serves here as for all lengths.
const CUBIC_INCHES_PER_GALLON = 231;
const STANDARD_GRAVITY_M_PER_S2 = 9.80665;

const durations: readonly UnitSpelling[] = [
  { shown: 's', also: ['sec', 'secs', 'second', 'seconds'], library: 's' },
  { shown: 'min', also: ['mins', 'minute', 'minutes'], library: 'min' },
  { shown: 'h', also: ['hr', 'hrs', 'hour', 'hours'], library: 'h' },
];

/** Every kind of quantity that the config can hold. */
export const QUANTITY_KINDS = {
  temperature: {
    name: 'a temperature',
    unit: '°C',
    library: 'tempC',
    units: [
      { shown: '°C', also: ['c', 'degc', 'celsius'], library: 'tempC' },
      { shown: '°F', also: ['f', 'degf', 'fahrenheit'], library: 'tempF' },
    ],
  },
  temperature_difference: {
    name: 'a temperature difference',
    unit: 'K',
    library: 'degC',
    units: [
      { shown: '°C', also: ['c', 'degc', 'k'], library: 'degC' },
      { shown: '°F', also: ['f', 'degf'], library: 'degF' },
    ],
  },
  speed: {
    name: 'a speed',
    unit: 'm/s',
    library: 'm/s',
    units: [
      { shown: 'm/s', also: ['mps'], library: 'm/s' },
      { shown: 'km/h', also: ['kmh', 'kph'], library: 'km/h' },
      { shown: 'mph', also: ['mi/h'], library: 'mi/h' },
      { shown: 'kn', also: ['kt', 'kts', 'knot', 'knots'], library: 'm/h', factor: 1852 },
    ],
  },
  depth: {
    name: 'a depth of water or sand',
    unit: 'mm',
    library: 'mm',
    units: [
      { shown: 'mm', library: 'mm' },
      { shown: 'cm', library: 'cm' },
      { shown: 'in', also: ['inch', 'inches', '"'], library: 'in' },
    ],
  },
  rate: {
    name: 'a rate of water',
    unit: 'mm/h',
    library: 'mm/h',
    units: [
      { shown: 'mm/h', also: ['mm/hr', 'mm/hour'], library: 'mm/h' },
      { shown: 'cm/h', also: ['cm/hr', 'cm/hour'], library: 'cm/h' },
      { shown: 'in/h', also: ['in/hr', 'inch/h', 'inch/hr', 'in/hour', 'iph'], library: 'in/h' },
    ],
  },
  flow: {
    name: 'a flow',
    unit: 'L/min',
    library: 'l/min',
    units: [
      { shown: 'L/min', also: ['lpm'], library: 'l/min' },
      { shown: 'L/s', also: ['lps'], library: 'l/s' },
      { shown: 'm³/h', also: ['m3/h', 'm3/hr'], library: 'm3/h' },
      {
        shown: 'gpm',
        also: ['gal/min', 'usgpm'],
        library: 'in3/min',
        factor: CUBIC_INCHES_PER_GALLON,
      },
    ],
  },
  length: {
    name: 'a length',
    unit: 'm',
    library: 'm',
    units: [
      { shown: 'm', also: ['metre', 'metres', 'meter', 'meters'], library: 'm' },
      { shown: 'cm', library: 'cm' },
      { shown: 'mm', library: 'mm' },
      { shown: 'ft', also: ['foot', 'feet', "'"], library: 'ft' },
      { shown: 'in', also: ['inch', 'inches'], library: 'in' },
    ],
  },
  area: {
    name: 'an area',
    unit: 'm²',
    library: 'm2',
    units: [
      { shown: 'm²', also: ['m2', 'sqm'], library: 'm2' },
      { shown: 'cm²', also: ['cm2'], library: 'cm2' },
      { shown: 'ha', library: 'm2', factor: 10_000 },
      { shown: 'ft²', also: ['ft2', 'sqft', 'sq.ft', 'sq.ft.'], library: 'ft2' },
      { shown: 'in²', also: ['in2', 'sqin'], library: 'in2' },
      { shown: 'acre', also: ['acres', 'ac'], library: 'ft2', factor: 43_560 },
    ],
  },
  duration_s: { name: 'a duration', unit: 's', library: 's', units: durations },
  duration_min: { name: 'a duration', unit: 'min', library: 'min', units: durations },
  pressure: {
    name: 'a pressure',
    unit: 'kPa',
    library: 'kPa',
    units: [
      { shown: 'kPa', library: 'kPa' },
      { shown: 'hPa', also: ['mbar'], library: 'Pa', factor: 100 },
      { shown: 'bar', library: 'kPa', factor: 100 },
      // Pound-force per square inch: 0.45359237 kg under standard gravity over (25.4 mm)².
      {
        shown: 'psi',
        also: ['lbf/in2'],
        library: 'Pa',
        factor: (0.45359237 * STANDARD_GRAVITY_M_PER_S2) / 0.0254 ** 2,
      },
    ],
  },
  fraction: {
    name: 'a percentage',
    unit: 'fraction',
    library: '%',
    libraryPerUnit: 100,
    units: [{ shown: '%', also: ['percent', 'pct'], library: '%' }],
  },
  volume: {
    name: 'a volume',
    unit: 'L',
    library: 'l',
    units: [
      { shown: 'L', also: ['litre', 'litres', 'liter', 'liters'], library: 'l' },
      { shown: 'mL', also: ['cc', 'cm3'], library: 'ml' },
      { shown: 'm³', also: ['m3'], library: 'm3' },
      {
        shown: 'gal',
        also: ['gallon', 'gallons', 'usgal'],
        library: 'in3',
        factor: CUBIC_INCHES_PER_GALLON,
      },
    ],
  },
  solar: {
    name: 'a sum of solar radiation',
    unit: 'MJ/m²',
    library: 'MJ/m2',
    units: [
      { shown: 'MJ/m²', also: ['mj/m2'], library: 'MJ/m2' },
      { shown: 'kWh/m²', also: ['kwh/m2'], library: 'MJ/m2', factor: 3.6 },
      { shown: 'Wh/m²', also: ['wh/m2'], library: 'MJ/m2', factor: 0.0036 },
    ],
  },
  salinity: {
    name: 'a salinity (electrical conductivity)',
    unit: 'dS/m',
    library: 'dS/m',
    units: [
      { shown: 'dS/m', also: ['ms/cm', 'mmho/cm'], library: 'dS/m' },
      { shown: 'µS/cm', also: ['us/cm', 'μs/cm'], library: 'dS/m', factor: 0.001 },
    ],
  },
  angle: {
    name: 'an angle',
    unit: '°',
    library: 'deg',
    units: [{ shown: '°', also: ['deg', 'degree', 'degrees'], library: 'deg' }],
  },
} as const satisfies Record<string, QuantityKindFacts>;

export type QuantityKind = keyof typeof QUANTITY_KINDS;
