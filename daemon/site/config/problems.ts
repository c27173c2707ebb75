import { closest, distance } from 'fastest-levenshtein';

/** One thing wrong in the config, where, and what to do. */
export interface ConfigProblem {
  /** File as the person named it. */
  file: string;
  /** From 1; null when the file itself is the trouble. */
  line: number | null;
  column: number | null;
  /** The person's own key path: `stations[g1-north].flow`; empty for the whole file. */
  path: string;
  /** `what is wrong (got value); what to do`. */
  message: string;
}

/** The most problems that are told at once: nobody reads more before mending the first. */
const MOST_PROBLEMS = 100;

/** The first problems, and how many more there are. */
export function firstProblems(problems: readonly ConfigProblem[]): ConfigProblem[] {
  const first = problems.slice(0, MOST_PROBLEMS);
  const left = problems.length - first.length;
  const [{ file } = { file: '' }] = first;
  const message = `and ${left} more (got ${problems.length} in all); mend these first`;
  return left === 0 ? first : [...first, { file, line: null, column: null, path: '', message }];
}

/** Where a value of the config stands. */
export interface Place {
  file: string;
  line: number;
  column: number;
}

/** Keys and list positions that lead to a value. */
export type KeyPath = readonly (string | number)[];

/** A path in words, of a value whose ids are not known. */
export function pathOf(path: KeyPath): string {
  return path
    .map((key) => (typeof key === 'number' ? `[#${key + 1}]` : `.${shownValue(key, [])}`))
    .join('')
    .replace(/^\./, '');
}

/** The problem as one line: `file:line:column path: what is wrong (got value); what to do`. */
export function problemText(problem: ConfigProblem): string {
  const { file, line, column, path, message } = problem;
  const place = line === null ? file : `${file}:${line}:${column ?? 1}`;
  return path === '' ? `${place}: ${message}` : `${place} ${path}: ${message}`;
}

/** Problems in the order in which a person meets them: by file as given, then line and column. */
export function inFileOrder(problems: readonly ConfigProblem[]): ConfigProblem[] {
  const files = [...new Set(problems.map((problem) => problem.file))];
  return [...problems].sort(
    (a, b) =>
      files.indexOf(a.file) - files.indexOf(b.file) ||
      (a.line ?? 0) - (b.line ?? 0) ||
      (a.column ?? 0) - (b.column ?? 0),
  );
}

const SECRET_WORDS = new Set(
  'password pass passphrase passwd secret secrets token credential credentials authorization header headers pin'.split(
    ' ',
  ),
);

/** True when a value under this path must never be shown. */
export function isSecretPath(path: KeyPath): boolean {
  return path.some((key) =>
    String(key)
      .toLowerCase()
      .split(/[^a-z]+/)
      .some((word) => SECRET_WORDS.has(word)),
  );
}

/** A value as an error text shows it: short, and without what must stay secret. */
export function shownValue(value: unknown, path: KeyPath): string {
  if (value === undefined || value === null) return 'nothing';
  if (isSecretPath(path)) return '(hidden)';
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object') return 'a map';
  const text = hideUserInfo(String(value)).replace(/\s+/g, ' ');
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}

/**
 * Addresses can carry a name and a password before the @. A password may hold any character, so
 * everything up to the last @ goes.
 */
export function hideUserInfo(text: string): string {
  return text.replace(/(\w+:\/\/).*@/gs, '$1(hidden)@');
}

const MOST_KNOWN = 500;
const MOST_LETTERS = 80;

/**
 * The known word that a mistyped one most likely stands for, or null when none is near: a third of
 * its letters may differ. Two letters swapped count as two, so words of four letters may differ in
 * two; words of one or two letters are never guessed at, nor long ones, nor among very many.
 */
export function nearestKey(word: string, known: readonly string[]): string | null {
  if (known.length === 0 || known.length > MOST_KNOWN || word.length > MOST_LETTERS) return null;
  const plain = (text: string) => text.toLowerCase().replace(/[-\s]/g, '_');
  const candidate = closest(plain(word), known.map(plain));
  const length = Math.max(word.length, candidate.length);
  const most = length < 3 ? 0 : length === 3 ? 1 : Math.max(2, Math.floor(length / 3));
  if (distance(plain(word), candidate) > most) return null;
  return known.find((key) => plain(key) === candidate) ?? null;
}
