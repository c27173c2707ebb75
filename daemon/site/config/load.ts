import { existsSync } from 'node:fs';
import { basename, dirname, isAbsolute, join, resolve } from 'node:path';
import type { z } from 'zod';
import { outputConfigSchema } from '../../../adapters/outputs/list.ts';
import { siteClock } from '../time/site-clock.ts';
import { bedSchema } from './bed-schema.ts';
import { isMap, readText } from './bounded-input.ts';
import { type ConfigParts, type ConfigResult, configSchema, type LoadedConfig } from './config.ts';
import { crossChecks } from './cross-checks.ts';
import { type Entry, pathText, readEntry } from './entry.ts';
import { check } from './issue-problems.ts';
import { hoursNotPermitted, keepOffSchema, toKeepOffRules } from './keep-offs.ts';
import { configWarnings } from './plausibility.ts';
import { type ConfigProblem, firstProblems, inFileOrder, type KeyPath } from './problems.ts';
import { toFieldRule, toRevisionRule, toWebhook } from './service-schema.ts';
import { dataFolderSchema } from './site-schema.ts';
import { stationSchema } from './station-schema.ts';
import { type CsvSource, readBedTable, readStationTable } from './tables.ts';
import { toSite, type WholeConfig } from './to-site.ts';
import { pipeSchema } from './water-supply.ts';
import { readYaml, type YamlSource } from './yaml-source.ts';

/** Reads the config file and the tables that it names. Tells everything that is wrong at once. */
export function loadConfig(path: string): ConfigResult {
  const text = readText(path);
  if (!text.ok) {
    const message = `cannot be read (got ${text.why}); name a config file that is there`;
    return { ok: false, problems: [{ file: path, line: null, column: null, path: '', message }] };
  }
  return loadConfigText(text.text, { file: path, baseFolder: dirname(resolve(path)) });
}

/** Reads a config given as text; `file` is what error texts call it. */
export function loadConfigText(
  text: string,
  { file, baseFolder }: { file: string; baseFolder: string },
): ConfigResult {
  const yaml = readYaml(text, file);
  const top = { file, line: 1, column: 1, path: '' };
  if (!isMap(yaml.raw)) {
    // A file of one word may be a password file named by mistake: its text is not shown.
    const got = Array.isArray(yaml.raw) ? 'a list' : yaml.raw === null ? 'nothing' : 'plain text';
    const none = { ...top, message: `is not a map of keys (got ${got}); begin with site:` };
    return { ok: false, problems: yaml.problems.length > 0 ? told(yaml.problems) : [none] };
  }
  const reading: Reading = { yaml, raw: yaml.raw, baseFolder, folderShown: dirname(file) };
  const beds = readList(reading, 'beds', bedSchema, readBedTable);
  const stations = readList(reading, 'stations', stationSchema, readStationTable);
  const parts = readParts(reading, beds.entries, stations.entries);
  const whole = check(configSchema, reading.raw);
  const found = whole.ok
    ? []
    : whole.findings.map(({ path, message, onKey }) => ({
        ...(onKey ? yaml.placeOfKey(path) : yaml.placeOf(path)),
        path: pathText(path, reading.raw),
        message,
      }));
  const ofParts = [...found, ...beds.problems, ...stations.problems];
  const problems = [
    ...yaml.problems,
    ...(yaml.brokenFromLine === null
      ? [...ofParts, ...crossChecks(parts)]
      : ofParts.filter(standsBefore(yaml.brokenFromLine))),
  ];
  if (problems.length > 0 || !whole.ok) return { ok: false, problems: told(problems) };
  const config: WholeConfig = {
    ...whole.value,
    beds: valuesOf(beds.entries),
    stations: valuesOf(stations.entries),
  };
  const sources = [resolve(baseFolder, basename(file)), ...beds.sources, ...stations.sources];
  return { ok: true, config: toLoaded(config, { baseFolder, sources, parts }) };
}

function told(problems: readonly ConfigProblem[]): ConfigProblem[] {
  return firstProblems(inFileOrder(problems));
}

/**
 * In a file that could be read in part only, keys seem to be missing and names to lead nowhere. What
 * is wrong with a value before the break is wrong all the same.
 */
function standsBefore(brokenFromLine: number) {
  return ({ line, message }: ConfigProblem): boolean =>
    line !== null && line < brokenFromLine && !message.startsWith('is missing');
}

function readParts(
  reading: Reading,
  beds: ConfigParts['beds'],
  stations: ConfigParts['stations'],
): ConfigParts {
  const { yaml, raw, baseFolder } = reading;
  const { sands, site } = raw;
  const { id: siteId } = isMap(site) ? site : {};
  const single = <T>(key: string, schema: z.ZodType<T>) =>
    readEntry(schema, raw[key], {
      list: key,
      index: null,
      placeOf: (path) => yaml.placeOf([key, ...path]),
      placeOfKey: (path) => yaml.placeOfKey([key, ...path]),
    });
  return {
    supply: single('supply', configSchema.shape.supply),
    mains: readYamlList(reading, ['supply', 'mains'], pipeSchema),
    laterals: readYamlList(reading, ['supply', 'laterals'], pipeSchema),
    rules: single('rules', configSchema.shape.rules),
    sandNames: isMap(sands) ? Object.keys(sands) : [],
    beds,
    stations,
    keepOffs: readYamlList(reading, ['keep_offs'], keepOffSchema),
    outputs: readYamlList(reading, ['outputs'], outputConfigSchema),
    weather: single('weather', configSchema.shape.weather),
    siteId: typeof siteId === 'string' ? siteId : null,
    baseFolder,
  };
}

function toLoaded(
  config: WholeConfig,
  from: { baseFolder: string; sources: string[]; parts: ConfigParts },
): LoadedConfig {
  const site = toSite(config);
  const { zone } = config.site;
  const bedIds = site.beds.map((bed) => bed.id);
  return {
    site,
    units: config.units,
    language: config.language,
    zone,
    clock: siteClock(zone),
    dataFolder: resolve(from.baseFolder, config.data_folder),
    baseFolder: from.baseFolder,
    morning: config.morning.at,
    weather: config.weather,
    outputs: config.outputs,
    page: config.page,
    keepOffRules: [
      ...toKeepOffRules(config.keep_offs, bedIds),
      ...hoursNotPermitted(config.rules.permitted_hours, bedIds),
    ],
    seasonFrom: config.rules.season_from,
    nightWater: config.rules.night_water ?? null,
    frostLimitC: config.rules.frost_limit,
    water: config.water ?? null,
    field: toFieldRule(config.field_reports),
    revisions: toRevisionRule(config.revisions),
    webhook: toWebhook(config.news),
    sources: from.sources,
    warnings: firstProblems(configWarnings(site, from.parts)),
  };
}

function valuesOf<T>(entries: readonly Entry<T>[]): T[] {
  return entries.flatMap((entry) => (entry.value === null ? [] : [entry.value]));
}

/** A table of stations takes some hundred bytes a line. */
const MOST_TABLE_BYTES = 5 * 2 ** 20;

/** The YAML being read, and where it stands. */
interface Reading {
  yaml: YamlSource;
  raw: Record<string, unknown>;
  /** Absolute folder of the config. */
  baseFolder: string;
  /** The same folder as the person wrote it, for error texts. */
  folderShown: string;
}

/** A list read, wherever it was written. */
interface ListReading<T> {
  entries: Entry<T>[];
  /** Problems that the check of the whole YAML does not see. */
  problems: ConfigProblem[];
  /** Absolute paths of the tables read. */
  sources: string[];
}

/** The beds or the stations, from the YAML or from the table that it names. */
function readList<T>(
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
function readYamlList<T>({ yaml, raw }: Reading, list: KeyPath, schema: z.ZodType<T>): Entry<T>[] {
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

/** The data folder that a config names, even when the rest of it is wrong; null when it is not there. */
export function dataFolderOf(path: string): string | null {
  const text = readText(path);
  if (!text.ok) return null;
  const { raw } = readYaml(text.text, path);
  const { data_folder: named } = isMap(raw) ? raw : {};
  const found = dataFolderSchema.safeParse(named);
  if (!found.success) return null;
  const folder = resolve(dirname(resolve(path)), found.data);
  return existsSync(folder) ? folder : null;
}
