import { resolve } from 'node:path';
import type { Command } from 'commander';
import type { Language } from '../../../adapters/contract.ts';
import { packageFiles } from '../../studies/records/hand-over/package-files.ts';
import {
  checkPackage,
  type PackageCheck,
  writePackage,
} from '../../studies/records/hand-over/package-folder.ts';
import { sayIn } from '../../words/language.ts';
import { languageOption } from './language-option.ts';
import type { ConfigOption } from './open-config.ts';
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
    .description('put the whole history into one folder, with report, tables and digests')
    .option('--to <folder>', 'folder to be made; nothing is written over')
    .option('--from <day>', 'first site day of its report (default: the first of the season)')
    .option('--until <day>', 'last site day of its report (default: today)')
    .addOption(languageOption('language of its report and README.txt'))
    .option('--check <folder>', 'hold the files of a package against its manifest')
    .addHelpText(
      'after',
      '\nLog, plans and rows are always all there are; the days bound the report and its tables.\n\nExamples:\n  $ dewbeat hand-over --to hand-over-2026\n  $ dewbeat hand-over --check hand-over-2026',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<HandOverOptions>();
      const { to, check, from, until, language } = options;
      if ((to === undefined) === (check === undefined)) {
        throw new CommandFailure(2, 'hand-over: needs --to FOLDER or --check FOLDER, one of them');
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
        shell.out(`${folder}: whole, ${said(found)}`);
      } else if (to !== undefined) {
        const folder = resolve(shell.cwd, to);
        await readSite(options, shell, async (session) => {
          const nowMs = shell.nowMs();
          const span: SpanOptions = {
            ...(from === undefined ? {} : { from }),
            ...(until === undefined ? {} : { to: until }),
          };
          const asked = askedSpan(span, session, nowMs);
          const found = writePackage(
            folder,
            await packageFiles({ ...session, nowMs }, { ...asked, language }),
          );
          shell.out(`${folder}: written and checked, ${said(found)} Begin with README.txt.`);
        });
      }
    });
}

function said({ files, bytes }: PackageCheck): string {
  return `${files} files, ${(bytes / 1e6).toFixed(1)} MB, each as its SHA-256 says.`;
}
