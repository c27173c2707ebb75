import { z } from 'zod';

const POINTER = /^(\/([^~/]|~[01])*)*$/;

/** A place inside a JSON text: RFC 6901. The empty text is the whole. */
export const jsonPointer = z.string().refine((text) => POINTER.test(text), {
  error: (issue) =>
    `is no JSON Pointer (got ${issue.input}); begin with / and name the keys: /hourly/time`,
});

/** What stands at a pointer; undefined where nothing does. */
export function atPointer(value: unknown, pointer: string): unknown {
  let found = value;
  for (const part of pointer.split('/').slice(1)) {
    const key = part.replaceAll('~1', '/').replaceAll('~0', '~');
    if (Array.isArray(found)) {
      found = /^(0|[1-9]\d*)$/.test(key) ? (found as unknown[])[Number(key)] : undefined;
    } else if (typeof found === 'object' && found !== null && Object.hasOwn(found, key)) {
      found = (found as Record<string, unknown>)[key];
    } else {
      return undefined;
    }
  }
  return found;
}

/** A JSON value as the text of a table's cell: what is no plain value cannot be read as a number. */
export function cellOf(value: unknown): string {
  if (value === null || value === undefined) return '';
  if (typeof value === 'string') return value.trim();
  if (typeof value === 'number') return String(value);
  return JSON.stringify(value).slice(0, 40);
}
