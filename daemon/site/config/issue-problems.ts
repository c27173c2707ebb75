import type { z } from 'zod';
import { hideUserInfo, isSecretPath, type KeyPath, nearestKey, shownValue } from './problems.ts';

/** So many unknown keys of one map are told one by one; more are told by their number. */
const MOST_UNKNOWN_KEYS = 30;

/** What zod found, in the project's words, at a path of the raw value. */
export interface Finding {
  path: KeyPath;
  message: string;
  /** True when the key itself is meant and not its value. */
  onKey: boolean;
}

/** The value that a schema makes of a raw one, or everything that is wrong with it. */
export type Checked<T> = { ok: true; value: T } | { ok: false; findings: Finding[] };

/** Checks a raw value and puts what is wrong into the project's words. */
export function check<T>(schema: z.ZodType<T>, raw: unknown, at: KeyPath = []): Checked<T> {
  // zod does not tell the known keys with an unknown one: they are noted while it reports.
  const knownKeys = new Map<string, string[]>();
  const result = schema.safeParse(raw, {
    reportInput: true,
    error: (issue) => {
      if (issue.code === 'unrecognized_keys') {
        knownKeys.set(keyOf(issue.path ?? [], issue.keys), keysOf(issue.inst));
      }
      return undefined;
    },
  });
  if (result.success) return { ok: true, value: result.data };
  const findings = withoutTwins(
    result.error.issues.flatMap((issue) => toFindings(issue, knownKeys)),
  );
  return {
    ok: false,
    findings: findings.map(({ path, message, onKey }) => ({
      path: [...at, ...path],
      message,
      onKey,
    })),
  };
}

interface Draft extends Finding {
  missing: boolean;
  /** Known key that an unknown one most likely stands for. */
  meant: string | null;
}

function toFindings(issue: z.core.$ZodIssue, knownKeys: ReadonlyMap<string, string[]>): Draft[] {
  const path = issue.path.map((key) => (typeof key === 'symbol' ? String(key) : key));
  if (issue.code === 'unrecognized_keys') {
    const known = knownAt(issue.path, issue.keys, knownKeys);
    if (issue.keys.length > MOST_UNKNOWN_KEYS) return [manyUnknown(path, issue.keys, known)];
    return issue.keys.map((key) => unknownKey(path, key, known));
  }
  if (issue.code === 'invalid_union' && issue.errors.length > 0) {
    const fewest = [...issue.errors].sort((a, b) => farness(a) - farness(b))[0] ?? [];
    if (issue.message === 'Invalid input' && fewest.length > 0) {
      return fewest.flatMap((inner) =>
        toFindings({ ...inner, path: [...issue.path, ...inner.path] }, knownKeys),
      );
    }
  }
  const missing = issue.input === undefined && issue.code !== 'custom';
  return [{ path, message: messageOf(issue, path), onKey: false, missing, meant: null }];
}

function keyOf(path: readonly PropertyKey[], keys: readonly string[]): string {
  return JSON.stringify([path.map(String), keys]);
}

/** Inside of a choice of forms zod counts the path from the choice: an ending of it was noted. */
function knownAt(
  path: readonly PropertyKey[],
  keys: readonly string[],
  knownKeys: ReadonlyMap<string, string[]>,
): string[] {
  const endings = Array.from({ length: path.length + 1 }, (_, from) => path.slice(from));
  for (const ending of endings) {
    const known = knownKeys.get(keyOf(ending, keys));
    if (known !== undefined) return known;
  }
  return [];
}

/**
 * How far a value is from one form of several: what stands in the wrong form altogether, or has keys
 * of another, is further than one with faults inside.
 */
function farness(issues: readonly z.core.$ZodIssue[]): number {
  return issues.reduce((sum, issue) => {
    const whole = issue.path.length === 0;
    if (whole && issue.code === 'invalid_type') return sum + 1000;
    if (whole && issue.code === 'unrecognized_keys') return sum + 10 * issue.keys.length;
    const formless = issue.code === 'invalid_union' && issue.path.length === 1;
    return sum + (formless ? 15 : 1);
  }, 0);
}

function unknownKey(path: KeyPath, key: string, known: string[]): Draft {
  const meant = nearestKey(key, known);
  const advice = meant
    ? `did you mean ${meant}?`
    : known.length > 0
      ? `known keys here: ${known.join(', ')}`
      : 'take it out';
  return {
    path: [...path, key],
    message: `is not a known key; ${advice}`,
    onKey: true,
    missing: false,
    meant,
  };
}

function manyUnknown(path: KeyPath, keys: readonly string[], known: string[]): Draft {
  const first = keys.slice(0, 3).map((key) => shownValue(key, []));
  const advice = known.length > 0 ? `known keys here: ${known.join(', ')}` : 'take them out';
  return {
    path: [...path],
    message: `has ${keys.length} keys that are not known (got ${first.join(', ')} and more); ${advice}`,
    onKey: false,
    missing: false,
    meant: null,
  };
}

/** A mistyped key shows once as unknown: that the right one is missing follows from it. */
function withoutTwins(drafts: Draft[]): Draft[] {
  const meant = new Set(
    drafts
      .filter((draft) => draft.meant !== null)
      .map((draft) => JSON.stringify([...draft.path.slice(0, -1), draft.meant])),
  );
  return drafts.filter((draft) => !(draft.missing && meant.has(JSON.stringify(draft.path))));
}

function messageOf(issue: z.core.$ZodIssue, path: KeyPath): string {
  const input = issue.input;
  if (isOurs(issue.message)) {
    const whole = withGot(issue.message, input, path);
    return isSecretPath(path) ? hideGot(whole) : hideUserInfo(whole);
  }
  const got = shownValue(input, path);
  switch (issue.code) {
    case 'invalid_type':
      if (input === undefined || input === null)
        return `is missing; add ${kindWord(issue.expected)}`;
      return `is not ${kindWord(issue.expected)} (got ${got}); write ${kindWord(issue.expected)}`;
    case 'invalid_value':
      return oneOf(issue.values.map(String), input, path);
    case 'invalid_union': {
      const options = 'options' in issue && Array.isArray(issue.options) ? issue.options : [];
      if (options.length > 0) return oneOf(options.map(String), valueAt(input, path), path);
      return `does not fit (got ${got}); see the config reference`;
    }
    case 'too_small':
      if (counted(issue.origin) !== '' && issue.minimum === 1) return emptyText(issue.origin);
      return `${tooSmall(issue.origin)} (got ${got}); use ${issue.minimum}${counted(issue.origin)} or more`;
    case 'too_big':
      return `${tooBig(issue.origin)} (got ${got}); use ${issue.maximum}${counted(issue.origin)} or less`;
    case 'invalid_format':
      return `is not well formed (got ${got}); expected ${issue.format}`;
    case 'custom':
      return `${hideUserInfo(issue.message)} (got ${got})`;
    default:
      return `does not fit (got ${got}): ${issue.message}`;
  }
}

/** Our own schema texts say what to do after a semicolon; zod's never do. */
function isOurs(message: string): boolean {
  return message.includes('; ');
}

/** A text of a schema that could not see the value gets it here. */
function withGot(message: string, input: unknown, path: KeyPath): string {
  const isPlain = ['string', 'number', 'boolean'].includes(typeof input);
  if (!isPlain || input === '' || message.includes('(got ')) return message;
  const [what = '', ...rest] = message.split('; ');
  return [`${what} (got ${shownValue(input, path)})`, ...rest].join('; ');
}

function hideGot(message: string): string {
  return message.replace(/\(got .*\)(?=;|$)/, '(got (hidden))');
}

function oneOf(options: string[], input: unknown, path: KeyPath): string {
  const list = options.join(', ');
  if (input === undefined || input === null) return `is missing; write one of ${list}`;
  const meant = typeof input === 'string' ? nearestKey(input, options) : null;
  const advice = meant ? `did you mean ${meant}? One of ${list}` : `write one of ${list}`;
  return `is none of the choices (got ${shownValue(input, path)}); ${advice}`;
}

/** A missing discriminator is reported with the whole object as its input. */
function valueAt(input: unknown, path: KeyPath): unknown {
  const key = path.at(-1);
  if (typeof input !== 'object' || input === null || key === undefined) return input;
  return (input as Record<string, unknown>)[String(key)];
}

function kindWord(expected: string): string {
  const words: Record<string, string> = {
    string: 'text',
    number: 'a number',
    int: 'a whole number',
    boolean: 'true or false',
    array: 'a list',
    object: 'a map of keys',
    record: 'a map of keys',
  };
  return words[expected] ?? `a value of kind ${expected}`;
}

function emptyText(origin: string): string {
  return origin === 'string' ? 'is empty; write text' : 'is empty; give at least one';
}

function tooSmall(origin: string): string {
  return origin === 'string' || origin === 'array' ? 'is too short' : 'is too small';
}

function tooBig(origin: string): string {
  return origin === 'string' || origin === 'array' ? 'is too long' : 'is too large';
}

function counted(origin: string): string {
  if (origin === 'string') return ' letters';
  return origin === 'array' ? ' entries' : '';
}

/** The keys that a strict object knows. */
function keysOf(schema: unknown): string[] {
  const shape = (schema as { _zod?: { def?: { shape?: Record<string, unknown> } } })?._zod?.def
    ?.shape;
  return shape ? Object.keys(shape) : [];
}
