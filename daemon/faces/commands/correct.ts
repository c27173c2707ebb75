import { type Command, Option } from 'commander';
import { readQuantity } from '../../../adapters/quantity.ts';
import type { QuantityKind } from '../../../adapters/quantity-units.ts';
import { correctRecord } from '../../actions/correct-record.ts';
import { CORRECTED_KINDS, type CorrectedKind } from '../../site/store/hand-records.ts';
import { localOrInstant } from '../../site/time/site-clock.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import type { ConfigOption } from './config-option.ts';

import { asOption, requiredText, wrongOption } from './given-options.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { withSite } from './site-session.ts';

interface CorrectOptions extends ConfigOption {
  what: CorrectedKind;
  station?: string;
  bed?: string;
  start?: string;
  seconds?: string;
  depth?: string;
  read?: string;
  who?: string;
  why?: string;
}

/** `dewbeat correct`: puts a record right by adding a row; no row is ever changed. */
export function addCorrect(program: Command, shell: Shell): void {
  program
    .command('correct')
    .description(whatItDoes('correct'))
    .addOption(
      new Option('--what <kind>', say('correct.what'))
        .choices(CORRECTED_KINDS)
        .makeOptionMandatory(),
    )
    .option('--station <id>', say('correct.station'))
    .option('--bed <id>', say('correct.bed'))
    .option('--start <time>', say('correct.start'))
    .option('--seconds <n>', say('correct.seconds'))
    .option('--depth <depth>', say('correct.depth'))
    .option('--read <volume>', say('correct.read'))
    .option('--who <name>', say('option.who'))
    .option('--why <text>', say('correct.why'))
    .addHelpText('after', helpAfter('correct'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<CorrectOptions>();
      await withSite(options, shell, ({ db, config }) => {
        const nowMs = shell.nowMs();
        const start = requiredText('start', options.start, 'correct.needs_start');
        const startMs = localOrInstant(start, nowMs, config.clock);
        if (startMs === null) throw wrongOption('start', 'refused.no_time', { got: start });
        const { subject, correct } = rightValue(options);
        const who = requiredText('who', options.who, 'refused.who');
        const why = requiredText('why', options.why, 'correct.needs_why');
        const { what } = options;
        const lines = asOption(() =>
          correctRecord({ db, config, nowMs }, { what, subject, startMs, correct, who, why }),
        );
        for (const line of lines) shell.out(line);
      });
    });
}

function rightValue(options: CorrectOptions): { subject: string; correct: number } {
  const { what, station, bed } = options;
  if (what === 'meter') return { subject: '', correct: quantityOf('read', options.read, 'volume') };
  if (what === 'water' && station === undefined) {
    const subject = requiredText('bed', bed, 'correct.needs_bed');
    return { subject, correct: quantityOf('depth', options.depth, 'depth') };
  }
  const subject = requiredText('station', station, 'correct.needs_station');
  const seconds = options.seconds === undefined ? undefined : `${options.seconds} s`;
  return { subject, correct: quantityOf('seconds', seconds, 'duration_s') };
}

function quantityOf(option: string, text: string | undefined, kind: QuantityKind): number {
  const reading = readQuantity(requiredText(option, text, 'correct.needs_value'), kind);
  if (reading.ok) return reading.value;
  throw new CommandFailure(2, `--${option}: ${reading.message}`);
}
