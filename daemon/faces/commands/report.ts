import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import type { Command } from 'commander';
import type { Language } from '../../../adapters/contract.ts';
import { makeReport, type ReportFile } from '../../studies/records/make-report.ts';
import { languageOption } from './language-option.ts';
import type { ConfigOption } from './open-config.ts';
import type { Shell } from './shell.ts';
import { readSite } from './site-session.ts';
import { askedSpan, type SpanOptions } from './span-options.ts';

interface ReportOptions extends ConfigOption, SpanOptions {
  html?: string;
  out?: string;
  language: Language;
}

/** `dewbeat report`: a day, a span or the season to print, and as tables. */
export function addReport(program: Command, shell: Shell): void {
  program
    .command('report')
    .description('a day, a span of days or the season: a page to print, and CSV tables')
    .option('--day <day>', 'one site day, YYYY-MM-DD')
    .option('--from <day>', 'first site day of a span (default: the first of the season)')
    .option('--to <day>', 'last site day of a span (default: today)')
    .option('--html <file>', 'where the page goes (default: report-FROM-TO.html, or into --out)')
    .option('--out <folder>', 'folder for the page and the tables')
    .addOption(languageOption('language of the page, and of the sentences in the tables'))
    .addHelpText(
      'after',
      '\nExamples:\n  $ dewbeat report --day 2026-07-01\n  $ dewbeat report --from 2026-07-01 --to 2026-07-14 --out fortnight\n  $ dewbeat report --out season',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<ReportOptions>();
      await readSite(options, shell, async (session) => {
        const nowMs = shell.nowMs();
        const asked = askedSpan(options, session, nowMs);
        const { page, tables } = await makeReport(
          { ...session, nowMs },
          { ...asked, language: options.language },
        );
        const name =
          asked.from === asked.to ? `report-${asked.from}` : `report-${asked.from}-${asked.to}`;
        const folder = options.out === undefined ? null : resolve(shell.cwd, options.out);
        const html = resolve(
          shell.cwd,
          options.html ?? (folder === null ? `${name}.html` : join(folder, 'report.html')),
        );
        write(html, page);
        shell.out(`Written: ${html}`);
        if (folder === null) return;
        for (const { file, content } of tables) write(join(folder, file), content);
        shell.out(`Tables in ${folder}: ${tables.map(({ file }: ReportFile) => file).join(', ')}`);
      });
    });
}

function write(path: string, content: string): void {
  if (!existsSync(dirname(path))) mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, content);
}
