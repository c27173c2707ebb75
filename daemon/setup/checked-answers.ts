import { resolve } from 'node:path';
import type { DisplayUnits } from '../../adapters/display-units.ts';
import { ActionRefused } from '../actions/action-context.ts';
import { check } from '../config/issue-problems.ts';
import { isMap, readText } from '../config/read-text.ts';
import { type SandConfig, sandSchema } from '../config/sand-schema.ts';
import { readYaml } from '../config/yaml-source.ts';
import { answeredPlace } from './answered-place.ts';
import type { RawConfig, SetupAnswers } from './answers.ts';
import { outsideFolder } from './inside-folder.ts';
import { pageWeather } from './page-weather.ts';
import { type SetupPreview, setupPreview } from './preview.ts';
import { type SandPicture, sandPicture } from './sand-picture.ts';
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
