import { type Command, Option } from 'commander';
import { readQuantity } from '../../../adapters/quantity.ts';
import type { QuantityKind } from '../../../adapters/quantity-units.ts';
import { correctRecord } from '../../actions/correct-record.ts';
import { CORRECTED_KINDS, type CorrectedKind } from '../../site/store/hand-records.ts';
import { localOrInstant } from '../../site/time/site-clock.ts';
import { asked } from './do-action.ts';
import type { ConfigOption } from './open-config.ts';
import { requiredText } from './required-text.ts';
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
    .description('put a record right by adding a row; the record itself stays, reports show both')
    .addOption(
      new Option('--what <kind>', 'a run, water by hand, or a reading of the meter')
        .choices(CORRECTED_KINDS)
        .makeOptionMandatory(),
    )
    .option('--station <id>', 'the station that ran')
    .option('--bed <id>', 'the bed that was watered with a hose')
    .option('--start <time>', 'when it began or was read: HH:MM today, or ISO 8601 with an offset')
    .option('--seconds <n>', 'seconds that the station ran in truth; 0: not at all')
    .option('--depth <depth>', 'depth that the bed got in truth, such as "2 mm" or 0.08 in')
    .option('--read <volume>', 'what the meter showed in truth, such as "123465 gal"')
    .option('--who <name>', 'who puts it right')
    .option('--why <text>', 'how it is known')
    .addHelpText(
      'after',
      '\nExamples:\n  $ dewbeat correct --what ran --station green-3-1 --start 2026-07-01T13:10:00-04:00 --seconds 0 --why "valve stuck shut" --who "A. Keeper"\n  $ dewbeat correct --what meter --start 07:00 --read "123465 gal" --why "misread" --who "A. Keeper"',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<CorrectOptions>();
      await withSite(options, shell, ({ db, config }) => {
        const nowMs = shell.nowMs();
        const start = requiredText('--start', options.start, 'give the time that it began');
        const startMs = localOrInstant(start, nowMs, config.clock);
        if (startMs === null) {
          throw new CommandFailure(
            2,
            `--start: no time (got ${start}); write HH:MM or ISO 8601 with an offset`,
          );
        }
        const { subject, correct } = rightValue(options);
        const who = requiredText('--who', options.who, 'give your name');
        const why = requiredText('--why', options.why, 'say how it is known');
        const { what } = options;
        const lines = asked(() =>
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
    const subject = requiredText('--bed', bed, 'name the bed, or a station with --station');
    return { subject, correct: quantityOf('depth', options.depth, 'depth') };
  }
  const subject = requiredText('--station', station, 'name the station');
  const seconds = options.seconds === undefined ? undefined : `${options.seconds} s`;
  return { subject, correct: quantityOf('seconds', seconds, 'duration_s') };
}

function quantityOf(option: string, text: string | undefined, kind: QuantityKind): number {
  const reading = readQuantity(requiredText(`--${option}`, text, 'give the right value'), kind);
  if (reading.ok) return reading.value;
  throw new CommandFailure(2, `--${option}: ${reading.message}`);
}
