import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import type { Command } from 'commander';
import type { Language } from '../../../adapters/contract.ts';
import { makeReport, type ReportFile } from '../../studies/records/make-report.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import type { ConfigOption } from './config-option.ts';
import { languageOption } from './language-option.ts';
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
    .description(whatItDoes('report'))
    .option('--day <day>', say('report.day'))
    .option('--from <day>', say('report.from'))
    .option('--to <day>', say('report.to'))
    .option('--html <file>', say('report.html'))
    .option('--out <folder>', say('report.out'))
    .addOption(languageOption(say('report.language')))
    .addHelpText('after', helpAfter('report'))
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
        shell.out(say('init.written', { path: html }));
        if (folder === null) return;
        for (const { file, content } of tables) write(join(folder, file), content);
        const files = tables.map(({ file }: ReportFile) => file).join(', ');
        shell.out(say('report.tables', { folder, files }));
      });
    });
}

function write(path: string, content: string): void {
  if (!existsSync(dirname(path))) mkdirSync(dirname(path), { recursive: true });
  writeFileSync(path, content);
}
