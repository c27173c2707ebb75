import type { Command } from 'commander';
import { readQuantity } from '../../adapters/quantity.ts';
import { HAND_WATER_BOUNDS, logWater, type WaterAmount } from '../actions/log-water.ts';
import { localOrInstant } from '../time/local-or-instant.ts';
import { type ActionOptions, doAction, withActionOptions } from './do-action.ts';
import { knownBed } from './known-bed.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { type SiteSession, withSite } from './site-session.ts';

interface WaterOptions extends ActionOptions {
  bed?: string;
  mm?: string;
  depth?: string;
  minutes?: string;
  station?: string;
  at?: string;
  who?: string;
}

/** `dewbeat water`: water that a person gave beside the plan, so that the next plan counts it. */
export function addWater(program: Command, shell: Shell): void {
  withActionOptions(program.command('water'))
    .description('log water given by hand or by one more run, so that plans count it')
    .requiredOption('--bed <id>', 'the bed that got it')
    .option('--mm <depth>', 'depth over the whole bed, mm')
    .option('--depth <depth>', 'the same with its unit, such as 0.08 in')
    .option('--minutes <n>', 'minutes that a station ran; with --station')
    .option('--station <id>', 'the station that ran')
    .option('--at <time>', 'when it began: HH:MM today, or ISO 8601 with an offset (default: now)')
    .option('--who <name>', 'who gave it')
    .addHelpText(
      'after',
      '\nIt counts up to what the seedbed could hold at that time.\n\nExamples:\n  $ dewbeat water --bed green-3 --mm 2 --at 13:10 --who "A. Keeper"\n  $ dewbeat water --bed green-3 --station green-3-1 --minutes 2.5 --who "A. Keeper"',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<WaterOptions>();
      await withSite(options, shell, (session) => log(session, options, shell));
    });
}

async function log(session: SiteSession, options: WaterOptions, shell: Shell): Promise<void> {
  const nowMs = shell.nowMs();
  const context = { ...session, nowMs };
  knownBed(session.config.site, options.bed);
  const who = requiredText('--who', options.who, 'give your name');
  const amount = amountOf(options);
  const startMs = startOf(options, session, nowMs);
  await doAction(session, shell, {
    options,
    nowMs,
    actionOf: () => logWater(context, { bedId: options.bed, amount, startMs, who }),
  });
}

function amountOf(options: WaterOptions): WaterAmount {
  const ways = [options.mm, options.depth, options.minutes].filter((text) => text !== undefined);
  if (ways.length !== 1) {
    throw new CommandFailure(
      2,
      `water: needs exactly one of --mm, --depth and --minutes (got ${ways.length})`,
    );
  }
  if (options.minutes === undefined) {
    if (options.station !== undefined) {
      throw new CommandFailure(2, '--station: goes with --minutes; give the minutes that it ran');
    }
    const text = options.mm === undefined ? (options.depth ?? '') : `${options.mm} mm`;
    const reading = readQuantity(text, 'depth', HAND_WATER_BOUNDS.netMm);
    if (reading.ok) return { netMm: reading.value };
    const option = options.mm === undefined ? 'depth' : 'mm';
    throw new CommandFailure(2, `--${option}: ${reading.message}`);
  }
  const reading = readQuantity(`${options.minutes} min`, 'duration_s', HAND_WATER_BOUNDS.runS);
  if (!reading.ok) throw new CommandFailure(2, `--minutes: ${reading.message}`);
  return { stationId: options.station, runS: reading.value };
}

/** When it was given; null: just now. */
function startOf(options: WaterOptions, { config }: SiteSession, nowMs: number): number | null {
  if (options.at === undefined) return null;
  const startMs = localOrInstant(options.at, nowMs, config.clock);
  if (startMs !== null) return startMs;
  throw new CommandFailure(
    2,
    `--at: no time (got ${options.at}); write HH:MM or ISO 8601 with an offset`,
  );
}
