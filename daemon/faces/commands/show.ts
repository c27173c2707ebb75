import { type Command, Option } from 'commander';
import { type CardState, LANGUAGES, type Language } from '../../../adapters/contract.ts';
import type { DisplayUnits } from '../../../adapters/display-units.ts';
import { planDocument, runsCsv } from '../../../adapters/plan-document.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import { type PlanStanding, planStanding } from '../../site/gate/gate.ts';
import { newestPlan, newestPlanOf, type StoredPlan } from '../../site/store/plans.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { confirmCommand } from '../../words/next-command.ts';
import { paperFor } from '../../words/plan-card.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import type { ConfigOption } from './config-option.ts';
import { foldedText } from './folded-table.ts';
import { planTable } from './plan-table.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { stopLines } from './stop-lines.ts';
import { readStore, repeatConfig } from './store-session.ts';

interface ShowOptions extends ConfigOption {
  day?: string;
  format: 'table' | 'json' | 'csv' | 'card';
  language: Language;
}

/** `dewbeat show`: the newest plan as a table, JSON, CSV or a card to print. */
export function addShow(program: Command, shell: Shell): void {
  program
    .command('show')
    .description(whatItDoes('show'))
    .option('--day <day>', say('show.day'))
    .addOption(
      new Option('--format <format>', say('option.format'))
        .choices(['table', 'json', 'csv', 'card'])
        .default('table'),
    )
    .addOption(
      new Option('--language <language>', say('show.language')).choices(LANGUAGES).default('en'),
    )
    .addHelpText('after', helpAfter('show'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<ShowOptions>();
      await readStore(options, shell, async ({ db, config }) => {
        const stored = options.day === undefined ? newestPlan(db) : newestPlanOf(db, options.day);
        if (stored === null) {
          const command = `npx dewbeat plan${repeatConfig(options)}`;
          const { day } = options;
          const text =
            day === undefined
              ? say('plan.none', { command })
              : say('plan.none_of', { day, command });
          throw new CommandFailure(1, text);
        }
        const standing = planStanding(db, stored);
        const text = printed(options.format, {
          stored,
          standing,
          ...config,
          language: options.language,
          width: shell.columns?.(),
        });
        const confirm =
          options.format === 'table' && standing.kind === 'held'
            ? `\n${say('plan.confirm_with')}\n  ${confirmCommand(stored, repeatConfig(options), sayTo(readerOf(config)))}${
                stored.plan.leeway === undefined ? '' : `\n  ${say('plan.add_leeway')}`
              }`
            : '';
        const holds = options.format === 'table' ? await stopLines(db, config, shell.nowMs()) : [];
        const folded = holds.flatMap((line) => foldedText(line, shell.columns?.()));
        shell.out([text.trimEnd(), ...folded].join('\n') + confirm);
      });
    });
}

interface Printing {
  stored: StoredPlan;
  standing: PlanStanding;
  clock: SiteClock;
  units: DisplayUnits;
  language: Language;
  /** Columns of the terminal; undefined: each row is one line. */
  width: number | undefined;
}

function printed(format: ShowOptions['format'], printing: Printing): string {
  const { stored, standing, clock, units, language } = printing;
  const { plan, digest } = stored;
  const runs = 'runs' in standing ? standing.runs : [];
  const paper = paperFor(readerOf({ clock, units, language }), clock.zone);
  switch (format) {
    case 'json':
      return JSON.stringify({ digest, plan: planDocument(plan, clock) }, null, 2);
    case 'csv':
      return runsCsv({ runs, plan, clock, sayReason: paper.reason });
    case 'card': {
      const missed = standing.kind === 'confirmed' ? standing.missed : [];
      const state = cardState(standing);
      return paper.card({ plan, digest, state, runs, missed });
    }
    case 'table':
      return planTable(printing);
  }
}

function cardState(standing: PlanStanding): CardState {
  return standing.kind === 'confirmed' ? standing : { kind: 'held' };
}
