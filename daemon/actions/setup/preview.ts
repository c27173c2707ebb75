import { createHash } from 'node:crypto';
import { isMap } from '../../site/config/bounded-input.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { loadConfigText } from '../../site/config/load.ts';
import type { ConfigProblem } from '../../site/config/problems.ts';
import { readYaml } from '../../site/config/yaml-source.ts';
import type { AnsweredPerson, RawConfig, SetupAnswers } from './answers.ts';
import { composedText } from './composed-text.ts';
import { differenceOf, shownDifference } from './line-difference.ts';
import { readPosition } from './position.ts';
import { bedEntries, stationEntries } from './table-entries.ts';
import { shortId, typedMains, withDecimalPoints } from './typed-values.ts';

/** What would be written, and everything that is wrong with it. */
export interface SetupPreview {
  text: string;
  /** The text before; null: there is no file yet. */
  before: string | null;
  /** What changes, line by line; a new file: all of it. Hashes of PINs are hidden. */
  difference: string[];
  /** The whole text with hashes of PINs hidden. */
  shown: string;
  /** How pasted tables were read, and what was made up. */
  told: string[];
  problems: ConfigProblem[];
  warnings: ConfigProblem[];
  /** The config that the text holds; null while something is wrong. */
  config: LoadedConfig | null;
  /** Names exactly this text over exactly the one before. */
  digest: string;
}

/** Composes the config from answers and checks it as `dewbeat check` does. Nothing is written. */
export async function setupPreview(
  answers: SetupAnswers,
  given: { before: string | null; file: string; baseFolder: string; help: AnswerHelp },
): Promise<SetupPreview> {
  const { before, file, baseFolder, help } = given;
  const read = before === null ? null : readYaml(before, file);
  if (read !== null && read.problems.length > 0) {
    // A file that cannot be read whole could lose what was not read: it is mended by hand first.
    return { ...bare(before, before ?? ''), problems: read.problems };
  }
  const old = read !== null && isMap(read.raw) ? read.raw : null;
  const { raw, assumed, told, problems } = await toConfigParts(answers, old, help);
  const text = composedText(before, raw, assumed);
  const result = loadConfigText(text, { file, baseFolder });
  const ofAnswers = problems.map(({ path, message }): ConfigProblem => {
    return { file, line: null, column: null, path, message };
  });
  // A coordinate that could not be read is told once, in the words of what was typed.
  const isPositionWrong = problems.some(({ path }) => path === 'site.position');
  const found = (result.ok ? [] : result.problems).filter(
    ({ path }) => !isPositionWrong || !['site.latitude', 'site.longitude'].includes(path),
  );
  const all = [...ofAnswers, ...found];
  const config = result.ok && all.length === 0 ? result.config : null;
  return {
    ...bare(before, text),
    told,
    problems: all,
    warnings: config?.warnings ?? [],
    config,
  };
}

function bare(before: string | null, text: string): SetupPreview {
  const lines = differenceOf(withoutHashes(before ?? ''), withoutHashes(text));
  // A changed hash looks the same when both are hidden, and is told all the same.
  const isHiddenChange = before !== text && lines.every(({ kind }) => kind === 'same');
  return {
    text,
    before,
    difference: isHiddenChange ? ['+ another PIN'] : shownDifference(lines),
    shown: withoutHashes(text),
    told: [],
    problems: [],
    warnings: [],
    config: null,
    digest: createHash('sha256')
      .update(JSON.stringify([before, text]))
      .digest('hex'),
  };
}

/** Even the hash of a PIN can be guessed at: it is shown nowhere. */
function withoutHashes(text: string): string {
  return text.replace(/scrypt:\d+:\d+:\d+:[\w-]+:[\w-]+/g, '(hidden)');
}

/** A problem with an answer itself, by the key that it stands for. */
interface AnswerProblem {
  path: string;
  message: string;
}

/** Answers in the shape of the config, what was assumed for them, and what is wrong with them. */
interface ConfigPartsAnswered {
  raw: RawConfig;
  /** Paths of values that nobody gave, with what was assumed. */
  assumed: { path: readonly string[]; why: string }[];
  told: string[];
  problems: AnswerProblem[];
}

/** What the world has to do for the answers: make hashes, and look into the environment. */
interface AnswerHelp {
  hash(pin: string): Promise<string>;
  env(name: string): string | undefined;
}

/** Turns answers into parts of the config; `old` is the plain value of the file that is there. */
async function toConfigParts(
  answers: SetupAnswers,
  old: RawConfig | null,
  help: AnswerHelp,
): Promise<ConfigPartsAnswered> {
  const { people, beds, stations, page, site, supply, ...plain } = withDecimalPoints(answers);
  const found: ConfigPartsAnswered = { raw: { ...plain }, assumed: [], told: [], problems: [] };
  if (supply !== undefined) {
    found.raw.supply = isTyped(supply) ? supplyOf(supply, found) : supply;
  }
  if (site !== undefined) found.raw.site = siteOf(site, old, found);
  const units = unitsOf(answers, old);
  const addTable = (key: 'beds' | 'stations', table: ReturnType<typeof bedEntries>) => {
    found.raw[key] = table.entries;
    found.told.push(...table.told.map((line) => `${key}: ${line}`));
    found.problems.push(...table.problems.map((message) => ({ path: key, message })));
  };
  if (typeof beds === 'string') addTable('beds', bedEntries(beds, units));
  else if (beds !== undefined) found.raw.beds = beds;
  if (typeof stations === 'string') {
    const known = bedsOf(found.raw.beds ?? old?.beds);
    addTable('stations', stationEntries(stations, { units, beds: known }));
  } else if (stations !== undefined) found.raw.stations = stations;
  if (page !== undefined || people !== undefined) {
    const pageRaw: { people?: unknown } = { ...page };
    if (people !== undefined) pageRaw.people = await peopleOf(people, old, { help, found });
    found.raw.page = pageRaw;
  }
  if (old === null) addDefaults(found, siteIdOf(found.raw));
  return found;
}

function siteOf(
  site: Readonly<Record<string, unknown>>,
  old: RawConfig | null,
  found: ConfigPartsAnswered,
): Record<string, unknown> {
  const { position, id, name, ...rest } = site;
  const named: { id?: unknown; name?: unknown } = {};
  if (id !== undefined) named.id = id;
  else if (!isMap(old?.site) && typeof name === 'string') {
    const made = shortId(name) || 'site';
    named.id = made;
    found.told.push(`site: its id ${made} is made from its name.`);
  }
  if (name !== undefined) named.name = name;
  if (position === undefined) return { ...named, ...rest };
  const reading = readPosition(String(position));
  if (!reading.ok) {
    found.problems.push({ path: 'site.position', message: reading.message });
    return { ...named, ...rest };
  }
  const { latitude, longitude } = reading;
  return { ...named, latitude, longitude, ...rest };
}

function isTyped({ mains }: Readonly<Record<string, unknown>>): boolean {
  return typeof mains === 'string';
}

/** Mains typed in one line. */
function supplyOf(
  supply: Readonly<Record<string, unknown>>,
  found: ConfigPartsAnswered,
): Record<string, unknown> {
  const { mains, ...rest } = supply;
  const pipes = typedMains(String(mains));
  if (typeof pipes !== 'string') return { ...rest, mains: pipes.length === 0 ? null : pipes };
  found.problems.push({ path: 'supply.mains', message: pipes });
  return rest;
}

/** A known person without a new PIN keeps the hash that is there. */
async function peopleOf(
  people: readonly AnsweredPerson[],
  old: RawConfig | null,
  { help, found }: { help: AnswerHelp; found: ConfigPartsAnswered },
): Promise<unknown[]> {
  const { people: listed } = isMap(old?.page) ? old.page : {};
  const before = Array.isArray(listed) ? listed.filter(isMap) : [];
  const entries: unknown[] = [];
  for (const { name, role, pin, pin_env } of people) {
    const path = `page.people[${name}]`;
    const typed = pin_env === undefined ? pin : help.env(pin_env);
    const { pin: kept, language } = before.find(({ name: known }) => known === name) ?? {};
    const entry: { name: string; role?: string; language?: unknown; pin?: string } = {
      name,
      ...(role === undefined ? {} : { role }),
      ...(language === undefined ? {} : { language }),
    };
    entries.push(entry);
    if (typed === undefined || typed === '') {
      if (typeof kept === 'string') entry.pin = kept;
      else {
        const what =
          pin_env === undefined ? 'has no PIN' : `has no PIN (got nothing in ${pin_env})`;
        found.problems.push({ path, message: `${what}; choose one of six characters or more` });
      }
      continue;
    }
    try {
      entry.pin = await help.hash(typed);
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      found.problems.push({ path, message: error.message });
    }
  }
  return entries;
}

function unitsOf({ units }: SetupAnswers, old: RawConfig | null): 'us' | 'metric' {
  return (units ?? old?.units) === 'us' ? 'us' : 'metric';
}

function bedsOf(raw: unknown): { id: string; name?: string | undefined }[] {
  if (!Array.isArray(raw)) return [];
  return raw.filter(isMap).map(({ id, name }) => ({
    id: String(id),
    name: typeof name === 'string' ? name : undefined,
  }));
}

function siteIdOf({ site }: RawConfig): string {
  const { id } = isMap(site) ? site : {};
  return typeof id === 'string' ? id : 'site';
}

/** What a first config needs and nobody has to be asked for. */
function addDefaults({ raw, assumed }: ConfigPartsAnswered, siteId: string): void {
  if (raw.data_folder === undefined) {
    raw.data_folder = `./dewbeat-data/${siteId}`;
    assumed.push({ path: ['data_folder'], why: 'beside this file' });
  }
  if (raw.outputs === undefined) {
    raw.outputs = [{ output: 'file', folder: `./dewbeat-data/${siteId}/out` }];
    assumed.push({ path: ['outputs'], why: 'confirmed plans go to files' });
  }
}
