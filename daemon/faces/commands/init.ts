import { dirname, resolve } from 'node:path';
import type { Command } from 'commander';
import { readAnswers, type SetupAnswers } from '../../actions/setup/answers.ts';
import { type SetupPreview, setupPreview } from '../../actions/setup/preview.ts';
import { tryWeather } from '../../actions/setup/try-weather.ts';
import { writeConfig } from '../../actions/setup/write-config.ts';
import { isMap, readText } from '../../site/config/bounded-input.ts';
import { pinHash } from '../../site/config/pin-hash.ts';
import { problemText } from '../../site/config/problems.ts';
import { readYaml } from '../../site/config/yaml-source.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { interview } from '../interview/interview.ts';
import { askYesNo, SetupAborted, withBack } from '../interview/talk.ts';
import { type ConfigOption, DEFAULT_CONFIG } from './config-option.ts';
import { CommandFailure, type Shell } from './shell.ts';

interface InitOptions extends ConfigOption {
  from?: string;
  dryRun?: true;
}

/** `dewbeat init`: a first config, or changes to one, without an editor. */
export function addInit(program: Command, shell: Shell): void {
  program
    .command('init')
    .description(whatItDoes('init'))
    .option('--from <file>', say('init.from'))
    .option('--dry-run', say('init.dry_run'))
    .addHelpText('after', helpAfter('init'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<InitOptions>();
      if (options.from === undefined) return byQuestions(options, shell);
      const read = readAnswers(resolve(shell.cwd, options.from));
      if (!read.ok) throw new CommandFailure(2, read.message);
      const preview = await previewOf(read.answers, options, shell);
      tell(preview, shell);
      if (!options.dryRun) write(preview, options, shell);
    });
}

async function byQuestions(options: InitOptions, shell: Shell): Promise<void> {
  const { prompt } = shell;
  if (!shell.interactive || prompt === undefined) {
    throw new CommandFailure(2, say('init.no_terminal'));
  }
  const path = configPath(options, shell);
  const before = configText(path);
  const read = before === null ? null : readYaml(before, path);
  if (read !== null && read.problems.length > 0) {
    throw new CommandFailure(
      2,
      [...read.problems.map(problemText), say('init.correct_first')].join('\n'),
    );
  }
  const old = read !== null && isMap(read.raw) ? read.raw : null;
  const baseFolder = dirname(path);
  shell.out(say(old === null ? 'init.new' : 'init.changes', { path }));
  shell.out(say('init.keys'));
  try {
    const preview = await withBack(
      async (talk) => {
        const answers = await interview(talk, {
          old,
          nowMs: shell.nowMs(),
          machineZone: Intl.DateTimeFormat().resolvedOptions().timeZone,
          pathOf: (file) => resolve(baseFolder, file),
          tryWeather: (given) =>
            tryWeather({ ...given, baseFolder, nowMs: shell.nowMs(), showsContents: true }),
        });
        const composed = await talk.once(() => previewOf(answers, options, shell));
        for (const line of linesOf(composed)) talk.tell(line);
        if (composed.problems.length > 0) {
          await askYesNo(talk, say('init.end_unusable'), 'yes');
          return composed;
        }
        if (composed.text === composed.before || options.dryRun) return composed;
        const ask = say('init.write', { path });
        if (await askYesNo(talk, ask, 'yes')) return composed;
        throw new SetupAborted();
      },
      { prompt, tell: (text) => shell.out(text) },
    );
    if (preview.problems.length > 0) throw new CommandFailure(2, say('init.nothing_written'));
    if (!options.dryRun) write(preview, options, shell);
  } catch (error) {
    if (!(error instanceof SetupAborted)) throw error;
    throw new CommandFailure(1, say('init.ended'));
  }
}

function previewOf(
  answers: SetupAnswers,
  options: InitOptions,
  shell: Shell,
): Promise<SetupPreview> {
  const path = configPath(options, shell);
  return setupPreview(answers, {
    before: configText(path),
    file: path,
    baseFolder: dirname(path),
    help: { hash: pinHash, env: (name) => process.env[name] },
  });
}

function configPath(options: InitOptions, shell: Shell): string {
  return resolve(shell.cwd, options.config ?? DEFAULT_CONFIG);
}

/** Null when there is none; one that cannot be read must not be taken for none. */
function configText(path: string): string | null {
  const read = readText(path);
  if (read.ok) return read.text;
  if (read.why === 'no such file') return null;
  throw new CommandFailure(1, say('init.unreadable', { path, why: read.why }));
}

function linesOf(preview: SetupPreview): string[] {
  return [
    ...preview.told,
    ...preview.problems.map(problemText),
    ...(preview.problems.length > 0 ? [] : preview.difference),
    ...preview.warnings.map((warning) => say('problem.look_at', { problem: problemText(warning) })),
  ];
}

function tell(preview: SetupPreview, shell: Shell): void {
  if (preview.problems.length > 0) {
    for (const line of preview.told) shell.out(line);
    const problems = preview.problems.map(problemText);
    throw new CommandFailure(2, [...problems, say('init.nothing_written')].join('\n'));
  }
  for (const line of linesOf(preview)) shell.out(line);
}

function write(preview: SetupPreview, options: InitOptions, shell: Shell): void {
  const path = configPath(options, shell);
  if (preview.text === preview.before) {
    shell.out(say('init.same', { path }));
    return;
  }
  const written = writeConfig({ path, ...preview, nowMs: shell.nowMs() });
  if (!written.ok) throw new CommandFailure(1, written.message);
  shell.out(say('init.written', { path: written.path }));
  if (written.copy !== null) shell.out(say('init.copy', { path: written.copy }));
  const repeat = options.config === undefined ? '' : ` -c ${options.config}`;
  shell.out(say('init.next', { config: repeat }));
}
