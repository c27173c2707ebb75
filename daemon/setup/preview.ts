import { createHash } from 'node:crypto';
import { loadConfigText } from '../config/load.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import type { ConfigProblem } from '../config/problems.ts';
import { isMap } from '../config/read-text.ts';
import { readYaml } from '../config/yaml-source.ts';
import type { SetupAnswers } from './answers.ts';
import { composedText } from './composed-text.ts';
import { differenceOf, shownDifference } from './line-difference.ts';
import { type AnswerHelp, toConfigParts } from './to-config-parts.ts';

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
