import { lstatSync, realpathSync, type Stats, statSync } from 'node:fs';
import { basename, dirname, isAbsolute, join, normalize, resolve, sep } from 'node:path';
import type { DisplayUnits } from '../../../adapters/display-units.ts';
import { columnUnit, type StationField } from '../../../adapters/weather/measured-fields.ts';
import { type SandConfig, sandSchema } from '../../site/config/bed-schema.ts';
import { isMap, readHead, readText, whatItIs } from '../../site/config/bounded-input.ts';
import { check } from '../../site/config/issue-problems.ts';
import { readYaml } from '../../site/config/yaml-source.ts';
import { ActionRefused } from '../action-context.ts';
import { answeredPlace, type RawConfig, type SetupAnswers } from './answers.ts';
import { type SetupPreview, setupPreview } from './preview.ts';
import { publicForecast } from './public-forecast.ts';
import { type SandPicture, sandPicture } from './sand-picture.ts';
import { stationFile } from './station-file.ts';
import { tryWeather, type WeatherTrial } from './try-weather.ts';

/** The config that the page's set-up is about, which need not be there yet. */
export interface SetupPlace {
  file: string;
  baseFolder: string;
}

/** A typed PIN as its hash, or why it is none. */
export type HashedPin = { hash: string } | { problem: string };

/** What answers make of the config: plain values, so that another process can look. */
export interface CheckedAnswers extends Omit<SetupPreview, 'config'> {
  /** Data folder of the config that would be written; null while something is wrong. */
  dataFolder: string | null;
}

/**
 * The text of the config as it is; null: there is none yet.
 * @throws ActionRefused when it cannot be read.
 */
export function textBefore(file: string): string | null {
  const read = readText(file);
  if (read.ok) return read.text;
  if (read.why === 'no such file') return null;
  throw new ActionRefused(file, `cannot be read (got ${read.why}); mend that first`);
}

/** The plain value of a config's text, or null. */
export function oldConfig(text: string | null, file: string): RawConfig | null {
  const raw = text === null ? null : readYaml(text, file).raw;
  return isMap(raw) ? raw : null;
}

/**
 * Checks what answers would make of the config. Nothing outside of its folder is looked into, and
 * nothing is written.
 *
 * @param given.pins Hashes of the PINs typed in the answers, in their order.
 */
export async function checkedAnswers(
  answers: SetupAnswers,
  { file, baseFolder, pins }: SetupPlace & { pins: readonly HashedPin[] },
): Promise<CheckedAnswers> {
  const before = textBefore(file);
  const old = oldConfig(before, file);
  const { asked, told, outside, problem } = askedOf(answers, { old, baseFolder });
  const hashes = [...pins];
  const help = {
    async hash() {
      const next = hashes.shift();
      if (next === undefined) throw new Error('set-up: more PINs were typed than hashed');
      if ('problem' in next) throw new RangeError(next.problem);
      return next.hash;
    },
    env: () => undefined,
  };
  const { config, ...preview } = await setupPreview(asked, { before, file, baseFolder, help });
  const place = { file, line: null, column: null };
  const ofAnswers = [...outside, ...(problem === null ? [] : [problem])];
  const problems = [...ofAnswers.map((one) => ({ ...place, ...one })), ...preview.problems];
  return {
    ...preview,
    told: [...told, ...preview.told],
    problems,
    dataFolder: problems.length === 0 && config !== null ? config.dataFolder : null,
  };
}

/** Reads the weather of answers once. Nothing of a file is quoted that is no weather. */
export async function triedWeather(
  answers: SetupAnswers,
  { file, baseFolder, nowMs }: SetupPlace & { nowMs: number },
): Promise<WeatherTrial> {
  const old = oldConfig(textBefore(file), file);
  const { asked, told, outside, problem } = askedOf(answers, { old, baseFolder });
  const wrong = outside[0] ?? problem;
  if (wrong !== null) return { ok: false, lines: [`${wrong.path}: ${wrong.message}`], row: [] };
  const trial = await tryWeather({
    raw: asked.weather ?? old?.weather,
    place: answeredPlace(asked, old),
    baseFolder,
    units: (asked.units ?? old?.units) === 'us' ? 'us' : 'metric',
    nowMs,
    showsContents: false,
  });
  return { ...trial, lines: [...told, ...trial.lines] };
}

/**
 * Dries a sand down: a class by its name, one of the config by its own, or one as it is typed.
 * @throws ActionRefused, RangeError for what is no sand.
 */
export function driedSand(
  sand: string | SandConfig,
  { file, units }: Pick<SetupPlace, 'file'> & { units: DisplayUnits },
): SandPicture {
  if (typeof sand !== 'string') return sandPicture(sand, units);
  const { sands } = oldConfig(textBefore(file), file) ?? {};
  const own = isMap(sands) ? sands[sand] : undefined;
  if (own === undefined) return sandPicture(sand, units);
  const checked = check(sandSchema, own, ['sands', sand]);
  if (checked.ok) return sandPicture(checked.value, units);
  const [first] = checked.findings;
  throw new ActionRefused(`sands.${sand}`, first?.message ?? 'is no sand');
}

interface AnswerProblem {
  path: string;
  message: string;
}

/** The answers with the weather that they ask for; nothing outside of the folder is looked into. */
function askedOf(
  answers: SetupAnswers,
  { old, baseFolder }: { old: RawConfig | null; baseFolder: string },
): {
  asked: SetupAnswers;
  told: string[];
  outside: AnswerProblem[];
  problem: AnswerProblem | null;
} {
  const outside = outsideFolder(answers, { old, baseFolder });
  if (outside.length > 0) return { asked: answers, told: [], outside, problem: null };
  const made = pageWeather(answers, { old, pathOf: (name) => resolve(baseFolder, name) });
  if (made.ok) return { asked: made.answers, told: made.told, outside, problem: null };
  const { weather: _, ...asked } = answers;
  const problem = { path: 'weather.file', message: made.message };
  return { asked, told: [], outside, problem };
}

/** Answers with a weather that the config knows, what was assumed for it, or why there is none. */
export type PageWeather =
  | { ok: true; answers: SetupAnswers; told: string[] }
  | { ok: false; message: string };

/**
 * The page asks for weather by a word: `public_forecast`, whose address follows from the site's place,
 * or `station_file`, whose columns follow from the headings of the file.
 */
export function pageWeather(
  answers: SetupAnswers,
  given: { old: RawConfig | null; pathOf(file: string): string },
): PageWeather {
  const { weather } = answers;
  const { source, file, ...rest } = isMap(weather) ? weather : {};
  if (source === 'public_forecast') {
    const { latitudeDeg, longitudeDeg } = answeredPlace(answers, given.old);
    const forecast = publicForecast({ latitude: latitudeDeg, longitude: longitudeDeg });
    return { ok: true, answers: { ...answers, weather: { ...forecast, ...rest } }, told: [] };
  }
  if (source !== 'station_file') return { ok: true, answers, told: [] };
  const made = stationWeather(String(file), given.pathOf(String(file)));
  if (typeof made === 'string') return { ok: false, message: made };
  return { ok: true, answers: { ...answers, weather: { ...made.raw, ...rest } }, told: made.told };
}

function stationWeather(
  file: string,
  path: string,
): { raw: Record<string, unknown>; told: string[] } | string {
  const text = readHead(path);
  if (!text.ok)
    return `cannot be read (got ${file}: ${text.why}); name a file in the folder of the config`;
  const head = stationFile(text.text);
  const asks = 'use npx dewbeat init, which asks for what a file does not tell';
  if (head?.timeColumn == null || !head.isIso) {
    return `has no column of stamps like 2026-07-01 06:00 under a known heading (got ${file}); ${asks}`;
  }
  const strange = head.fields.find(
    ({ field, unit }) => unit === null || columnUnit(field as StationField, unit) === null,
  );
  if (strange !== undefined) {
    return `has a column without a unit that fits (got ${strange.column}); write it into the heading, such as Temp (°C), or ${asks}`;
  }
  const columns = Object.fromEntries(
    head.fields.map(({ field, column, unit }) => [field, { column, unit }]),
  );
  return {
    raw: {
      source: 'csv',
      file,
      stamps: 'hour_ending',
      wind_height: '2 m',
      time: { form: 'iso', column: head.timeColumn },
      columns,
      ...(head.decimalMark === ',' ? { decimal_mark: ',' } : {}),
    },
    told: [
      `weather: columns ${head.fields.map(({ column, field }) => `${column} as ${field}`).join(', ')}.`,
      ...head.leftOut.map((column) => `weather: column ${column} is not known here, left out.`),
      'weather: stamps are taken to be the end of their row, and the wind gauge to stand at 2 m.',
    ],
  };
}

const FOLDER_KEYS = new Set(['data_folder', 'folder']);
const FILE_KEYS = new Set(['file', 'ran']);

/** A file or folder in answers that the page must not touch. */
export interface OutsidePath {
  path: string;
  /** What is wrong with it, and what to do. */
  message: string;
}

/**
 * Files and folders in answers that lie outside of the config's folder, links followed, and do not stand
 * in the config already under the same key; and files that are no plain files. The page may name none:
 * who uses it need not be one who may read every file of the machine.
 */
export function outsideFolder(
  answers: unknown,
  given: { old: unknown; baseFolder: string },
): OutsidePath[] {
  const known = new Set(pathsIn(given.old, '').map(({ key, got }) => `${key} ${got}`));
  return pathsIn(answers, '').flatMap(({ path, key, got }) => {
    const isKnown = known.has(`${key} ${got}`);
    const why = isKnown ? null : whyOutside(got, given.baseFolder);
    const message = why ?? whyNoFile(key, resolve(given.baseFolder, got), got);
    return message === null ? [] : [{ path, message }];
  });
}

function whyOutside(file: string, baseFolder: string): string | null {
  const elsewhere = 'name a place inside it, or use `dewbeat init` in a terminal';
  const plain = normalize(file);
  if (isAbsolute(file) || isAbove(plain)) {
    return `lies outside of the config's folder (got ${file}); ${elsewhere}`;
  }
  try {
    const base = realpathSync(baseFolder);
    const real = realPlace(resolve(baseFolder, plain));
    if (real === base || real.startsWith(base.endsWith(sep) ? base : `${base}${sep}`)) return null;
    return `leads out of the config's folder by a link (got ${file}); ${elsewhere}`;
  } catch (error) {
    const { code = 'a fault' } = error as NodeJS.ErrnoException;
    return `cannot be followed (got ${file}: ${code}); ${elsewhere}`;
  }
}

function isAbove(plain: string): boolean {
  return plain === '..' || plain.startsWith(`..${sep}`);
}

/** Where a path really leads; of what is not there yet, the folder around it counts. */
function realPlace(path: string): string {
  try {
    return realpathSync(path);
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== 'ENOENT' || isLink(path) || dirname(path) === path) throw error;
    return join(realPlace(dirname(path)), basename(path));
  }
}

/** A link that leads nowhere yet could be written through. */
function isLink(path: string): boolean {
  return lstatSync(path, { throwIfNoEntry: false })?.isSymbolicLink() ?? false;
}

/** Opening a pipe or a device can take for ever: what stands there is asked first. */
function whyNoFile(key: string, path: string, got: string): string | null {
  let found: Stats;
  try {
    found = statSync(path);
  } catch {
    // What is not there, or may not be looked at, is told by whoever needs it.
    return null;
  }
  if (FOLDER_KEYS.has(key)) {
    return found.isDirectory() ? null : `is no folder (got ${got}); name a folder`;
  }
  return found.isFile() ? null : `is ${whatItIs(found)} (got ${got}); name a plain file`;
}

function pathsIn(value: unknown, at: string): { path: string; key: string; got: string }[] {
  if (Array.isArray(value))
    return value.flatMap((one, index) => pathsIn(one, `${at}[#${index + 1}]`));
  if (!isMap(value)) return [];
  return Object.entries(value).flatMap(([key, part]) => {
    const path = at === '' ? key : `${at}.${key}`;
    const isPath = FOLDER_KEYS.has(key) || FILE_KEYS.has(key) || key.endsWith('_file');
    return isPath && typeof part === 'string' ? [{ path, key, got: part }] : pathsIn(part, path);
  });
}
