import type { Command } from 'commander';
import { display } from '../../adapters/display-units.ts';
import { readQuantity } from '../../adapters/quantity.ts';
import { readMeter } from '../actions/read-meter.ts';
import { meterReadings } from '../store/meter-readings.ts';
import { localOrInstant } from '../time/local-or-instant.ts';
import { table } from '../words/text-table.ts';
import { asked } from './do-action.ts';
import type { ConfigOption } from './open-config.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { type SiteSession, withSite } from './site-session.ts';

interface MeterOptions extends ConfigOption {
  read?: string;
  at?: string;
  who?: string;
  note?: string;
}

/** `dewbeat meter`: readings of the water meter, against which reports hold their own sums. */
export function addMeter(program: Command, shell: Shell): void {
  program
    .command('meter')
    .description('keep a reading of the water meter; alone: list the readings')
    .option('--read <volume>', 'what it shows, with its unit: "123456 gal", "467.3 m3"')
    .option(
      '--at <time>',
      'when it was read: HH:MM today, or ISO 8601 with an offset (default: now)',
    )
    .option('--who <name>', 'who read it')
    .option('--note <text>', 'what else should be known')
    .addHelpText(
      'after',
      '\nReports compare the volume between two readings with what is computed from the runs.\n\nExample:\n  $ dewbeat meter --read "123456 gal" --at 07:00 --who "A. Keeper"',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<MeterOptions>();
      await withSite(options, shell, (session) => {
        if (options.read === undefined) list(session, shell);
        else keep(session, { ...options, read: options.read }, shell);
      });
    });
}

function keep(
  { db, config }: SiteSession,
  options: MeterOptions & { read: string },
  shell: Shell,
): void {
  const nowMs = shell.nowMs();
  const reading = readQuantity(options.read, 'volume');
  if (!reading.ok) throw new CommandFailure(2, `--read: ${reading.message}`);
  const readMs = options.at === undefined ? nowMs : localOrInstant(options.at, nowMs, config.clock);
  if (readMs === null) {
    throw new CommandFailure(
      2,
      `--at: no time (got ${options.at}); write HH:MM or ISO 8601 with an offset`,
    );
  }
  const who = requiredText('--who', options.who, 'give your name');
  const note = options.note?.trim() ?? '';
  const lines = asked(() =>
    readMeter({ db, config, nowMs }, { volumeL: reading.value, readMs, who, note }),
  );
  for (const line of lines) shell.out(line);
}

function list({ db, config }: SiteSession, shell: Shell): void {
  const readings = meterReadings(db);
  if (readings.length === 0) {
    shell.out('The meter was never read. Keep a reading with --read "123456 gal" --who NAME.');
    return;
  }
  const show = display(config.units);
  const rows = readings.map(({ readMs, volumeL, who, note }, index) => {
    const before = readings[index - 1];
    const since = before === undefined ? '' : show.volume(volumeL - before.volumeL);
    return [config.clock.isoOf(readMs), show.volume(volumeL), since, who, note];
  });
  shell.out(table(['read', 'meter', 'since the one before', 'who', 'note'], rows));
}
