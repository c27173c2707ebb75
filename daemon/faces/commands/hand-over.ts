import { resolve } from 'node:path';
import type { Command } from 'commander';
import type { Language } from '../../../adapters/contract.ts';
import { packageFiles } from '../../studies/records/hand-over/package-files.ts';
import {
  checkPackage,
  type PackageCheck,
  writePackage,
} from '../../studies/records/hand-over/package-folder.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { sayIn } from '../../words/language.ts';
import type { ConfigOption } from './config-option.ts';
import { needsOneOf } from './given-options.ts';
import { languageOption } from './language-option.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { readSite } from './site-session.ts';
import { askedSpan, type SpanOptions } from './span-options.ts';

interface HandOverOptions extends ConfigOption, SpanOptions {
  to?: string;
  from?: string;
  until?: string;
  check?: string;
  language: Language;
}

/** `dewbeat hand-over`: one folder with the whole history, or a look whether one is whole. */
export function addHandOver(program: Command, shell: Shell): void {
  program
    .command('hand-over')
    .description(whatItDoes('hand-over'))
    .option('--to <folder>', say('hand-over.to'))
    .option('--from <day>', say('hand-over.from'))
    .option('--until <day>', say('hand-over.until'))
    .addOption(languageOption(say('hand-over.language')))
    .option('--check <folder>', say('hand-over.check'))
    .addHelpText('after', helpAfter('hand-over'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<HandOverOptions>();
      const { to, check, from, until, language } = options;
      if ((to === undefined) === (check === undefined)) {
        throw new CommandFailure(2, needsOneOf('hand-over', 'FOLDER'));
      }
      if (check !== undefined) {
        const folder = resolve(shell.cwd, check);
        const found = checkPackage(folder);
        if (found.problems.length > 0) {
          const say = sayIn(language);
          const lines = found.problems.map(
            ({ code, path }) => `${folder}: ${say(`reports.package_problem.${code}`, { path })}`,
          );
          throw new CommandFailure(1, lines.join('\n'));
        }
        shell.out(say('hand-over.whole', { folder, ...figures(found) }));
      } else if (to !== undefined) {
        const folder = resolve(shell.cwd, to);
        await readSite(options, shell, async (session) => {
          const nowMs = shell.nowMs();
          const span: SpanOptions = {
            ...(from === undefined ? {} : { from }),
            ...(until === undefined ? {} : { to: until }),
          };
          const asked = askedSpan(span, session, nowMs);
          const files = await packageFiles({ ...session, nowMs }, { ...asked, language });
          const found = writePackage(folder, files);
          shell.out(say('hand-over.written', { folder, ...figures(found) }));
        });
      }
    });
}

function figures({ files, bytes }: PackageCheck): { files: number; size: string } {
  return { files, size: (bytes / 1e6).toFixed(1) };
}
