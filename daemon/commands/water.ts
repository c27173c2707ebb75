import type { Command } from 'commander';
import { display } from '../../adapters/display-units.ts';
import { readQuantity } from '../../adapters/quantity.ts';
import type { Bed, Site } from '../../calc/schedule/site.ts';
import { addHandWater, handWaterSince, type StoredHandWater } from '../store/hand-water.ts';
import { addStep } from '../store/steps.ts';
import { localOrInstant } from '../time/local-or-instant.ts';
import { knownBed } from './known-bed.ts';
import type { ConfigOption } from './open-config.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { repeatConfig, type SiteSession, withSite } from './site-session.ts';

interface WaterOptions extends ConfigOption {
  bed?: string;
  mm?: string;
  depth?: string;
  minutes?: string;
  station?: string;
  at?: string;
  who?: string;
}

/** Time that a hose over a bed is taken to last, at most and at least. */
const BY_HOSE_S = 600;
const LEAST_BY_HOSE_S = 60;
const DAY_MS = 24 * 3_600_000;
/** More than any one watering by hand gives: a slip of the pen. */
const MOST_MM = 30;

/** `dewbeat water`: water that a person gave beside the plan, so that the next plan counts it. */
export function addWater(program: Command, shell: Shell): void {
  program
    .command('water')
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
      await withSite(options, shell, (session) => logWater(session, options, shell));
    });
}

function logWater(session: SiteSession, options: WaterOptions, shell: Shell): void {
  const { db, config } = session;
  const { clock, site } = config;
  const nowMs = shell.nowMs();
  const bed = knownBed(site, options.bed);
  const who = requiredText('--who', options.who, 'give your name');
  const amount = amountOf(options, bed, site);
  const { startMs, runS } = stretchOf(options, session, { nowMs, ...amount });
  const water: StoredHandWater = { atMs: nowMs, who, bedId: bed.id, ...amount, startMs, runS };
  const show = display(config.units);
  const by = amount.stationId === null ? 'by hand' : `by station ${amount.stationId}`;
  const what = `${bed.name}: ${show.depth(amount.grossMm)} ${by}`;
  db.transaction(() => {
    addHandWater(db, water);
    addStep(db, {
      atMs: nowMs,
      kind: 'hand_watered',
      who,
      siteDay: clock.siteDayOf(startMs),
      what: `${what} from ${clock.isoOf(startMs)}`,
    });
  }).immediate();
  shell.out(`${what} from ${clock.timeOf(startMs)}, logged by ${who}.`);
  const today = handWaterSince(db, clock.startOf(clock.siteDayOf(nowMs))).filter(
    (one) => one.bedId === bed.id,
  );
  shell.out(`By hand today in all: ${show.depth(meanMm(today, site))} over the bed.`);
  shell.out(
    `The next plan counts it up to what the seedbed could hold: npx dewbeat plan${repeatConfig(options)}`,
  );
}

/** Mean over the bed, mm: a station waters its share alone. */
function meanMm(given: readonly StoredHandWater[], site: Site): number {
  return given.reduce((sum, { bedId, stationId, grossMm }) => {
    const stations = site.stations.filter((station) => station.bedId === bedId).length;
    return sum + (stationId === null ? grossMm : grossMm / Math.max(1, stations));
  }, 0);
}

function amountOf(
  options: WaterOptions,
  bed: Bed,
  site: Site,
): Pick<StoredHandWater, 'stationId' | 'runS' | 'grossMm'> {
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
    const reading = readQuantity(text, 'depth', { min: 0.05, max: MOST_MM });
    if (reading.ok) return { stationId: null, runS: BY_HOSE_S, grossMm: reading.value };
    throw new CommandFailure(
      2,
      `--${options.mm === undefined ? 'depth' : 'mm'}: ${reading.message}`,
    );
  }
  const own = site.stations.filter((station) => station.bedId === bed.id);
  const station = own.find((one) => one.id === options.station);
  if (station === undefined) {
    const got =
      options.station === undefined ? 'is missing' : `not of this bed (got ${options.station})`;
    throw new CommandFailure(
      2,
      `--station: ${got}; the stations of ${bed.id} are ${own.map((one) => one.id).join(', ')}`,
    );
  }
  const reading = readQuantity(`${options.minutes} min`, 'duration_s', { min: 5, max: 7200 });
  if (!reading.ok) throw new CommandFailure(2, `--minutes: ${reading.message}`);
  const grossMm = (station.precipitationRateMmPerH * reading.value) / 3600;
  return { stationId: station.id, runS: reading.value, grossMm };
}

/** When it was given. What is logged without a time has just ended; nothing logged goes on. */
function stretchOf(
  options: WaterOptions,
  { config }: SiteSession,
  given: { nowMs: number; runS: number; stationId: string | null },
): { startMs: number; runS: number } {
  const { nowMs, runS, stationId } = given;
  if (options.at === undefined) return { startMs: nowMs - runS * 1000, runS };
  const startMs = localOrInstant(options.at, nowMs, config.clock);
  if (startMs === null) {
    throw new CommandFailure(
      2,
      `--at: no time (got ${options.at}); write HH:MM or ISO 8601 with an offset`,
    );
  }
  if (startMs > nowMs || startMs < nowMs - DAY_MS) {
    throw new CommandFailure(
      2,
      `--at: must be within the last 24 hours (got ${options.at}); log what was given, when it was`,
    );
  }
  const passedS = (nowMs - startMs) / 1000;
  if (runS <= passedS) return { startMs, runS };
  if (stationId !== null) {
    throw new CommandFailure(
      2,
      `--at: it still runs at that (got ${options.at}); log it when it has ended`,
    );
  }
  const lastedS = Math.max(LEAST_BY_HOSE_S, passedS);
  return { startMs: nowMs - lastedS * 1000, runS: lastedS };
}
