import { closeSync, constants, fstatSync, openSync, readSync, type Stats, statSync } from 'node:fs';
import { Lexer } from 'yaml';
import type { KeyPath } from './problems.ts';

/** A file's text, or in words why there is none. */
type TextReading = { ok: true; text: string } | { ok: false; why: string };

/** A config larger than this is no config. */
const MOST_CONFIG_BYTES = 2 * 2 ** 20;

/**
 * Reads a small text file; `mostBytes` is the most that is read. Whatever is no plain file is told of at
 * once: a pipe or a device could keep its reader waiting for ever.
 */
export function readText(path: string, mostBytes = MOST_CONFIG_BYTES): TextReading {
  const read = readBytes(path, mostBytes);
  if (!read.ok) return read;
  if (!read.isWhole) return { ok: false, why: `larger than ${sizeText(mostBytes)}` };
  return { ok: true, text: read.bytes.toString('utf8') };
}

/** Bytes of a file's head: thirty lines of the widest table. */
const HEAD_BYTES = 64 * 1024;

/** Reads the first lines of a plain file, whole ones alone, however long it goes on. */
export function readHead(path: string): TextReading {
  const read = readBytes(path, HEAD_BYTES);
  if (!read.ok) return read;
  const text = read.bytes.toString('utf8');
  return { ok: true, text: read.isWhole ? text : text.slice(0, text.lastIndexOf('\n') + 1) };
}

type BytesReading = { ok: true; bytes: Buffer; isWhole: boolean } | { ok: false; why: string };

function readBytes(path: string, mostBytes: number): BytesReading {
  try {
    const before = statSync(path);
    if (!before.isFile()) return { ok: false, why: whatItIs(before) };
    // What stands there may have changed since: an open that does not wait finds that out as well.
    const file = openSync(path, constants.O_RDONLY | constants.O_NONBLOCK);
    try {
      const found = fstatSync(file);
      if (!found.isFile()) return { ok: false, why: whatItIs(found) };
      const bytes = Buffer.alloc(Math.min(found.size, mostBytes) + 1);
      let length = 0;
      for (let read = -1; read !== 0 && length < bytes.length; length += read) {
        read = readSync(file, bytes, length, bytes.length - length, null);
      }
      const isWhole = length <= mostBytes;
      return { ok: true, bytes: bytes.subarray(0, Math.min(length, mostBytes)), isWhole };
    } finally {
      closeSync(file);
    }
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    const words: Record<string, string> = {
      ENOENT: 'no such file',
      EACCES: 'no permission',
    };
    return { ok: false, why: words[code ?? ''] ?? code ?? 'a fault' };
  }
}

/** What stands under a path that is no plain file. */
export function whatItIs(found: Stats): string {
  if (found.isDirectory()) return 'a folder';
  if (found.isFIFO()) return 'a pipe';
  return found.isSocket() ? 'a socket' : 'a device';
}

function sizeText(bytes: number): string {
  return bytes < 2 ** 20 ? `${bytes / 2 ** 10} KB` : `${bytes / 2 ** 20} MB`;
}

/** True for a plain map of keys. */
export function isMap(raw: unknown): raw is Record<string, unknown> {
  return typeof raw === 'object' && raw !== null && !Array.isArray(raw);
}

/** Words and marks of a text that is a config: thousands of stations in it have fewer. */
const MOST_TOKENS = 300_000;
/** Maps and lists that are begun inside one another within a line or within brackets. */
const MOST_DEEP = 60;

/** Tokens that stand for no letter of the text: a document, a plain text, an end of brackets. */
const MARKS_OF_THE_LEXER = new Set(['\u0002', '\u001f', '\u0018']);

/** Why a text is not read as YAML, and where; null: it can be. */
interface YamlTooMuch {
  offset: number;
  message: string;
}

/**
 * Looks over a text before it is read: reading takes far longer than this look, and of some nestings
 * longer than a person waits.
 */
export function yamlTooMuch(text: string): YamlTooMuch | null {
  let [offset, tokens, inBrackets, onLine] = [0, 0, 0, 0];
  for (const token of new Lexer().lex(text)) {
    tokens += 1;
    if (token === '[' || token === '{') inBrackets += 1;
    else if (token === ']' || token === '}') inBrackets -= 1;
    else if (inBrackets <= 0 && (token === '?' || token === '-' || token === ':')) onLine += 1;
    else if (token.includes('\n')) onLine = 0;
    if (inBrackets > MOST_DEEP || onLine > MOST_DEEP) {
      const message = `lies too deep (got more than ${MOST_DEEP} maps and lists inside one another); write it flatter`;
      return { offset, message };
    }
    if (tokens > MOST_TOKENS) {
      const message = `holds too much (got more than ${MOST_TOKENS} words and marks); keep long lists in a table, by stations_file`;
      return { offset: 0, message };
    }
    if (!MARKS_OF_THE_LEXER.has(token)) offset += token.length;
  }
  return null;
}

/** Bounds of a value that somebody wrote: far above any that is meant. */
interface Bounds {
  /** Keys of one map. */
  mostKeys: number;
  /** Entries of one list. */
  mostEntries: number;
  /** Maps and lists inside one another. */
  mostDeep: number;
  /** Values in all. */
  mostValues: number;
  /** Letters of one text. */
  mostLetters: number;
}

/** What a config may hold: hundreds of stations with catch cans, thousands without. */
export const CONFIG_BOUNDS: Bounds = {
  mostKeys: 500,
  mostEntries: 20_000,
  mostDeep: 30,
  mostValues: 500_000,
  mostLetters: 4_000,
};

/** What a request to the page may hold. */
export const REQUEST_BOUNDS: Bounds = {
  mostKeys: 200,
  mostEntries: 5_000,
  mostDeep: 20,
  mostValues: 50_000,
  mostLetters: 130_000,
};

/**
 * The first place at which a value is more than can be meant, with what to do; null: nothing is. What is
 * too much is looked at no further, so that no check of the rest takes longer than a person waits.
 */
export function tooMuch(value: unknown, bounds: Bounds): { path: KeyPath; message: string } | null {
  const ahead: { value: unknown; path: KeyPath }[] = [{ value, path: [] }];
  let values = 0;
  for (let one = ahead.pop(); one !== undefined; one = ahead.pop()) {
    const { path } = one;
    const refuse = (what: string, got: string, most: string) => ({
      path,
      message: `${what} (got ${got}); keep to ${most} at most`,
    });
    values += 1;
    if (values > bounds.mostValues) {
      const most = `${bounds.mostValues} values`;
      return { ...refuse('holds too much', 'more', most), path: [] };
    }
    if (typeof one.value === 'string' && one.value.length > bounds.mostLetters) {
      const got = `${one.value.length} letters`;
      return refuse('is too long', got, `${bounds.mostLetters} letters`);
    }
    if (typeof one.value !== 'object' || one.value === null) continue;
    if (path.length >= bounds.mostDeep) {
      return refuse('lies too deep', 'one more inside', `${bounds.mostDeep} inside one another`);
    }
    const isList = Array.isArray(one.value);
    const parts = Object.entries(one.value);
    const [what, most] = isList ? ['entries', bounds.mostEntries] : ['keys', bounds.mostKeys];
    if (parts.length > most) {
      return refuse(`has too many ${what}`, `${parts.length}`, `${most} ${what}`);
    }
    // Turned round, since what was put there last is looked at first.
    for (const [key, part] of parts.reverse()) {
      ahead.push({ value: part, path: [...path, isList ? Number(key) : key] });
    }
  }
  return null;
}
