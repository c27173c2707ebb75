import { type Command, Option } from 'commander';
import { type CardState, LANGUAGES, type Language } from '../../../adapters/contract.ts';
import type { DisplayUnits } from '../../../adapters/display-units.ts';
import { planDocument, runsCsv } from '../../../adapters/plan-document.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import { holdStandings } from '../../planning/open-holds.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { type PlanStanding, planStanding } from '../../site/gate/gate.ts';
import type { Db } from '../../site/store/database.ts';
import { newestPlan, newestPlanOf, type StoredPlan } from '../../site/store/plans.ts';
import { sayHeldBed } from '../../words/keep-dry-words.ts';
import { confirmCommand } from '../../words/next-command.ts';
import { paperFor } from '../../words/plan-card.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import { foldedText } from './folded-table.ts';
import type { ConfigOption } from './open-config.ts';
import { planTable } from './plan-table.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { readSite, repeatConfig } from './site-session.ts';

interface ShowOptions extends ConfigOption {
  day?: string;
  format: 'table' | 'json' | 'csv' | 'card';
  language: Language;
}

/** `dewbeat show`: the newest plan as a table, JSON, CSV or a card to print. */
export function addShow(program: Command, shell: Shell): void {
  program
    .command('show')
    .description('show the newest plan')
    .option('--day <day>', 'the newest plan of this site day, YYYY-MM-DD')
    .addOption(
      new Option('--format <format>', 'how to print')
        .choices(['table', 'json', 'csv', 'card'])
        .default('table'),
    )
    .addOption(
      new Option('--language <language>', 'language of the card').choices(LANGUAGES).default('en'),
    )
    .addHelpText(
      'after',
      '\nExamples:\n  $ dewbeat show --format card > card.txt\n  $ dewbeat show --format card --language es > tarjeta.txt',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<ShowOptions>();
      await readSite(options, shell, ({ db, config }) => {
        const stored = options.day === undefined ? newestPlan(db) : newestPlanOf(db, options.day);
        if (stored === null) {
          const day = options.day === undefined ? '' : ` of ${options.day}`;
          throw new CommandFailure(
            1,
            `plan: there is none${day}; make one with \`npx dewbeat plan${repeatConfig(options)}\``,
          );
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
            ? `\nConfirm with:\n  ${confirmCommand(stored, repeatConfig(options), sayTo(readerOf(config)))}`
            : '';
        const holds = options.format === 'table' ? heldLines(db, config, shell.nowMs()) : [];
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

/** What open holds cost, first to dry first. */
function heldLines(db: Db, config: LoadedConfig, nowMs: number): string[] {
  const reader = readerOf(config);
  return holdStandings(db, config, nowMs).map(({ hold, beds, isOver }) => {
    const over = isOver ? '; ITS TIME IS OVER AND IT STANDS' : '';
    const left = beds.map((bed) => sayHeldBed(bed, reader)).join('; ');
    return `! On hold by ${hold.who} (${hold.why})${over}: ${left === '' ? 'no bed known' : left}.`;
  });
}
