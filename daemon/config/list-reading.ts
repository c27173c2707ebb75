import { isAbsolute, join, resolve } from 'node:path';
import type { z } from 'zod';
import type { CsvSource } from './csv-source.ts';
import { type Entry, readEntry } from './entry.ts';
import type { ConfigProblem, KeyPath } from './problems.ts';
import { readText } from './read-text.ts';
import type { YamlSource } from './yaml-source.ts';

/** A table of stations takes some hundred bytes a line. */
const MOST_TABLE_BYTES = 5 * 2 ** 20;

/** The YAML being read, and where it stands. */
export interface Reading {
  yaml: YamlSource;
  raw: Record<string, unknown>;
  /** Absolute folder of the config. */
  baseFolder: string;
  /** The same folder as the person wrote it, for error texts. */
  folderShown: string;
}

/** A list read, wherever it was written. */
export interface ListReading<T> {
  entries: Entry<T>[];
  /** Problems that the check of the whole YAML does not see. */
  problems: ConfigProblem[];
  /** Absolute paths of the tables read. */
  sources: string[];
}

/** The beds or the stations, from the YAML or from the table that it names. */
export function readList<T>(
  reading: Reading,
  list: 'beds' | 'stations',
  schema: z.ZodType<T>,
  readTable: (text: string, file: string) => CsvSource,
): ListReading<T> {
  const { yaml, raw, baseFolder, folderShown } = reading;
  const fileKey = `${list}_file`;
  const named = raw[fileKey];
  const at = (path: string, message: string): ConfigProblem => ({
    ...yaml.placeOf([path]),
    path,
    message,
  });
  const entries = readYamlList(reading, [list], schema);
  if (raw[list] !== undefined && named !== undefined) {
    const message = `stands beside ${list} (got both); keep one of the two`;
    return { entries, problems: [at(fileKey, message)], sources: [] };
  }
  if (named === undefined) {
    const message = `is missing; add ${list}, or name a table by ${fileKey}`;
    return { entries, problems: raw[list] === undefined ? [at(list, message)] : [], sources: [] };
  }
  if (typeof named !== 'string' || named === '') return { entries, problems: [], sources: [] };
  const path = resolve(baseFolder, named);
  const text = readText(path, MOST_TABLE_BYTES);
  if (!text.ok) {
    const message = `names a table that cannot be read (got ${named}: ${text.why}); correct the name`;
    return { entries, problems: [at(fileKey, message)], sources: [] };
  }
  const shown = isAbsolute(named) ? named : join(folderShown, named);
  const table = readTable(text.text, shown);
  const rows = table.entries.map((row, index) =>
    readEntry(schema, row.raw, {
      list,
      index,
      placeOf: row.placeOf,
      placeOfKey: row.placeOf,
    }),
  );
  const problems = [...table.problems, ...rows.flatMap((row) => row.problems)];
  if (rows.length === 0 && problems.length === 0) {
    const message = `has no rows; write one line for each of the ${list}`;
    problems.push({ file: shown, line: 1, column: 1, path: '', message });
  }
  return { entries: rows, problems, sources: [path] };
}

/** The entries of a list in the YAML, each read by its own. */
export function readYamlList<T>(
  { yaml, raw }: Reading,
  list: KeyPath,
  schema: z.ZodType<T>,
): Entry<T>[] {
  const items = valueAt(raw, list);
  if (!Array.isArray(items)) return [];
  return items.map((item: unknown, index) =>
    readEntry(schema, item, {
      list: list.join('.'),
      index,
      placeOf: (path) => yaml.placeOf([...list, index, ...path]),
      placeOfKey: (path) => yaml.placeOfKey([...list, index, ...path]),
    }),
  );
}

function valueAt(raw: unknown, path: KeyPath): unknown {
  return path.reduce(
    (value: unknown, key) =>
      typeof value === 'object' && value !== null ? Reflect.get(value, key) : undefined,
    raw,
  );
}
