import { typedNumber } from './typed-number.ts';

/** Keys whose text is no quantity, or is read by readers of their own. */
const PLAIN = new Set([
  'name',
  'id',
  'position',
  'zone',
  'mains',
  'beds',
  'stations',
  'people',
  'url',
  'file',
]);

/** The same answers with decimal commas of quantities as points; what is ambiguous stays as typed. */
export function withDecimalPoints<T>(answers: T): T {
  return pointed(answers) as T;
}

function pointed(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(pointed);
  if (typeof value === 'object' && value !== null) {
    return Object.fromEntries(
      Object.entries(value).map(([key, part]) => [
        key,
        PLAIN.has(key) && typeof part !== 'object' ? part : pointed(part),
      ]),
    );
  }
  if (typeof value !== 'string' || !/^[+-]?\d*,\d[^,]*$/.test(value.trim())) return value;
  const number = typedNumber(value);
  return number.ok ? number.text : value;
}
