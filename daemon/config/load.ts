import { basename, dirname, resolve } from 'node:path';
import type { z } from 'zod';
import { outputConfigSchema } from '../../adapters/outputs/list.ts';
import { siteClock } from '../time/site-clock.ts';
import { bedSchema } from './bed-schema.ts';
import { readBedTable } from './bed-table.ts';
import { crossChecks } from './cross-checks.ts';
import { type Entry, pathText, readEntry } from './entry.ts';
import { toFieldRule } from './field-schema.ts';
import { check } from './issue-problems.ts';
import { keepOffSchema } from './keep-off-schema.ts';
import { toKeepOffRules } from './keep-offs.ts';
import { pipeSchema } from './limits-schema.ts';
import { type Reading, readList, readYamlList } from './list-reading.ts';
import type { ConfigResult, LoadedConfig } from './loaded-config.ts';
import { toWebhook } from './news-schema.ts';
import type { ConfigParts } from './parts.ts';
import { hoursNotPermitted } from './permitted-hours.ts';
import { type ConfigProblem, firstProblems, inFileOrder } from './problems.ts';
import { isMap, readText } from './read-text.ts';
import { toRevisionRule } from './revisions-schema.ts';
import { configSchema } from './schema.ts';
import { stationSchema } from './station-schema.ts';
import { readStationTable } from './station-table.ts';
import { toSite, type WholeConfig } from './to-site.ts';
import { configWarnings } from './warnings.ts';
import { readYaml } from './yaml-source.ts';

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
