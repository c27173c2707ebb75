export const HOUR_MS = 3_600_000;
export const HOURS = 24;
export const FROM_MS = Date.parse('2026-07-01T00:00:00Z');
export const TO_MS = FROM_MS + HOURS * HOUR_MS;
export const FIELDS = ['t', 'rh', 'w', 's', 'r'] as const;
export const UNITS = { t: '°C', rh: '%', w: 'm/s', s: 'W/m²', r: 'mm' } as const;
export const NAMES = {
  t: 'air_temp',
  rh: 'relative_humidity',
  w: 'wind',
  s: 'solar',
  r: 'rain',
} as const;

/** Values that are no value of any field, in JSON. */
export const IMPOSSIBLE = [
  '"warm"',
  'true',
  '{}',
  '[3]',
  '-99999',
  '1e300',
  '1e999',
  '"1e999"',
  '"0x10"',
];
const BITS = [
  '"',
  ',',
  '\n',
  '\r',
  ';',
  '-',
  '1e308',
  '999999',
  'NaN',
  '\uFEFF',
  '\0',
  '24:00',
  '{',
  '}',
  '[',
  ']',
  ':',
  '\\u',
  'null',
];

/** The same numbers from the same seed, on every machine. */
export function numbers(seed: number) {
  let state = seed >>> 0;
  // mulberry32, a public-domain generator of 32 bits of state.
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  const below = (count: number) => Math.floor(next() * count);
  const oneOf = <T>(list: readonly T[]): T => list[below(list.length)] as T;
  return { below, oneOf };
}

export type Numbers = ReturnType<typeof numbers>;

function soundValue(field: (typeof FIELDS)[number], hour: number): number {
  const values = { t: 15 + (hour % 12), rh: 40 + hour, w: 2 + (hour % 5), s: 100 + hour, r: 0.2 };
  return values[field];
}

export function csvText(): string {
  const rows = Array.from({ length: HOURS }, (_, hour) =>
    [stampOf(hour), ...FIELDS.map((field) => soundValue(field, hour))].join(','),
  );
  return `time,${FIELDS.join(',')}\n${rows.join('\n')}\n`;
}

function stampOf(hour: number): string {
  return new Date(FROM_MS + hour * HOUR_MS).toISOString().slice(0, 16);
}

export function jsonText(harm?: { field: string; hour: number; put: string }): string {
  const lists = FIELDS.map((field) => {
    const cells = Array.from({ length: HOURS }, (_, hour) =>
      harm?.field === field && harm.hour === hour ? harm.put : String(soundValue(field, hour)),
    );
    return `"${field}":[${cells.join(',')}]`;
  });
  const times = Array.from({ length: HOURS }, (_, hour) => `"${stampOf(hour)}"`);
  return `{"h":{"time":[${times.join(',')}],${lists.join(',')}}}`;
}

export function message(harm?: { field: string; put: string }): string {
  const values = FIELDS.map(
    (field) => `"${field}":${harm?.field === field ? harm.put : soundValue(field, 12)}`,
  );
  return `{"ms":${FROM_MS + 12 * HOUR_MS + 60_000},${values.join(',')}}`;
}

/** Up to six cuts and insertions, then perhaps an early end. */
export function wounded(text: string, { below, oneOf }: Numbers): string {
  let result = text;
  for (let wound = below(7); wound > 0; wound--) {
    const from = below(result.length + 1);
    const put = below(2) === 0 ? oneOf(BITS) : String.fromCharCode(below(256));
    result = result.slice(0, from) + put + result.slice(from + below(20));
  }
  return below(4) === 0 ? result.slice(0, below(result.length + 1)) : result;
}
