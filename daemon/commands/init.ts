import { existsSync, readFileSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import type { Command } from 'commander';
import { problemText } from '../config/problems.ts';
import type { SetupAnswers } from '../setup/answers.ts';
import { setupPreview } from '../setup/preview.ts';
import { readAnswers } from '../setup/read-answers.ts';
import { writeConfig } from '../setup/write-config.ts';
import { pinHash } from '../web/safety/pin-hash.ts';
import { type ConfigOption, DEFAULT_CONFIG } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';

interface InitOptions extends ConfigOption {
  from?: string;
  dryRun?: true;
}

/** `dewbeat init`: a first config, or changes to one, without an editor. */
export function addInit(program: Command, shell: Shell): void {
  program
    .command('init')
    .description('set a site up by questions, or change its config; nothing is written unasked')
    .option('--from <file>', 'take the answers from a YAML or JSON file and ask nothing')
    .option('--dry-run', 'with --from: show what would be written, and write nothing')
    .addHelpText('after', '\nExample:\n  $ dewbeat init\n  $ dewbeat init --from answers.yaml')
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<InitOptions>();
      if (options.from === undefined) {
        throw new CommandFailure(2, 'init: asks at a terminal (got none); give answers by --from');
      }
      const read = readAnswers(resolve(shell.cwd, options.from));
      if (!read.ok) throw new CommandFailure(2, read.message);
      await fromAnswers(read.answers, options, shell);
    });
}

async function fromAnswers(
  answers: SetupAnswers,
  options: InitOptions,
  shell: Shell,
): Promise<void> {
  const file = options.config ?? DEFAULT_CONFIG;
  const path = resolve(shell.cwd, file);
  const preview = await setupPreview(answers, {
    before: existsSync(path) ? readFileSync(path, 'utf8') : null,
    file: path,
    baseFolder: dirname(path),
    help: { hash: pinHash, env: (name) => process.env[name] },
  });
  for (const line of preview.told) shell.out(line);
  if (preview.problems.length > 0) {
    throw new CommandFailure(
      2,
      [...preview.problems.map(problemText), 'Nothing was written.'].join('\n'),
    );
  }
  for (const warning of preview.warnings) shell.out(`look at: ${problemText(warning)}`);
  shell.out(preview.difference.join('\n'));
  if (options.dryRun) return;
  if (preview.text === preview.before) {
    shell.out(`${path}: stays as it is; nothing was to change.`);
    return;
  }
  const written = writeConfig({ path, ...preview, nowMs: shell.nowMs() });
  if (!written.ok) throw new CommandFailure(1, written.message);
  shell.out(`Written: ${written.path}`);
  if (written.copy !== null) shell.out(`The file before is kept as ${written.copy}`);
  const repeat = options.config === undefined ? '' : ` -c ${options.config}`;
  shell.out(
    [
      'Next:',
      `  npx dewbeat plan${repeat}       the first plan, held`,
      `  npx dewbeat run${repeat}        the daemon, with its page`,
    ].join('\n'),
  );
}
