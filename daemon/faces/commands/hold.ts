import { existsSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import type { Command } from 'commander';
import { bedsToHold } from '../../actions/beds-to-hold.ts';
import { type KeptSite, keptSiteOf, readKeptSite } from '../../delivery/earlier-configs.ts';
import { outsideStop } from '../../delivery/stop-from-outside.ts';
import {
  askDaemonToStop,
  type DaemonSaid,
  type StopRequest,
  stopSocketOf,
} from '../../delivery/stop-now.ts';
import type { ConfigResult } from '../../site/config/config.ts';
import { openDemo } from '../../site/config/demo.ts';
import { dataFolderOf, loadConfig } from '../../site/config/load.ts';
import { problemText } from '../../site/config/problems.ts';
import { localOrInstant, siteClock } from '../../site/time/site-clock.ts';
import { within } from '../../within.ts';
import { sayStop, sayStrangers } from '../../words/delivery-words.ts';
import { sayIn } from '../../words/language.ts';
import { type ConfigOption, DEFAULT_CONFIG } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';

interface HoldOptions extends ConfigOption {
  beds?: string[];
  who: string;
  why: string;
  until?: string;
  demo?: boolean;
}

/** The site whose water is to be stopped, and where its memory lies. */
export interface SiteToStop {
  site: KeptSite;
  dataFolder: string;
  /** What is wrong with the config, where the last good site stands in for it. */
  notes: string[];
}

/** A daemon that is there says so at once; without a word from it processes of its own are begun. */
const FORK_AFTER_MS = 150;
/** A daemon that has not answered after this is frozen: the command does it itself. */
const DAEMON_PATIENCE_MS = 1_000;
/** A daemon that has taken a stop answers within this. */
const DAEMON_ANSWER_MS = 4_600;
const LATE_PATIENCE_MS = 300;
const DATA_FOLDER = 'dewbeat-data';

/** `dewbeat hold`: stops water at once, for everything or for the beds named. */
export function addHoldCommand(program: Command, shell: Shell): void {
  program
    .command('hold')
    .description('stop water now, for everything or for some beds; needs no confirm')
    .option('--beds <ids...>', 'only these beds (default: everything)')
    .option('--who <name>', 'who stops it', 'someone at the command line')
    .option('--why <reason>', 'why', 'no reason given')
    .option('--until <time>', 'when you mean to lift it: HH:MM today, or ISO 8601 with an offset')
    .option('--demo', 'stop the embedded demo, and not a site of your own')
    .addHelpText(
      'after',
      '\nWorks with a config that is wrong or gone, with the daemon frozen, and with the store locked:\nit says which site it stops, and output by output what is true. Exit code 0: every output took it.\nA hold is lifted only by confirming a fresh plan: dewbeat plan --lift, then confirm.\n\nExample:\n  $ dewbeat hold -c greens.yaml --beds green-1 --who "A. Keeper" --why "leak at the collar" --until 14:00',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<HoldOptions>();
      const found = siteToStop(options, shell);
      const { site } = found;
      for (const note of found.notes) shell.err(note);
      shell.out(`Site: ${site.site_name} (${site.site_id}), data in ${found.dataFolder}`);
      const { beds, ...names } = bedsToHold(site.bed_ids, options.beds ?? 'all');
      const untilMs =
        options.until === undefined
          ? null
          : localOrInstant(options.until, shell.nowMs(), siteClock(site.zone));
      const { who, why } = options;
      let isWell = true;
      if (beds === 'all' || beds.length > 0) {
        const told = await stopWater(found, { beds, who, why, untilMs, atMs: shell.nowMs() });
        isWell = told.isWell;
        (isWell ? shell.out : shell.err)(told.line);
        for (const line of told.outputs) (isWell ? shell.out : shell.err)(line);
      }
      if (names.strangers.length > 0) {
        throw new CommandFailure(2, `--beds: ${sayStrangers(names, sayIn('en'))}`);
      }
      if (options.until !== undefined && untilMs === null) {
        throw new CommandFailure(
          2,
          `--until: no time (got ${options.until}); the hold stands without one; write HH:MM or ISO 8601 with an offset`,
        );
      }
      if (!isWell)
        throw new CommandFailure(1, 'hold: see above what is not stopped or not written');
    });
}

/**
 * Stops a site's water: through its daemon when that answers within a second, else past it, with
 * whatever can be had.
 */
export async function stopWater(
  { site, dataFolder }: SiteToStop,
  asked: StopRequest,
): Promise<DaemonSaid> {
  const { beds, who, why, untilMs } = asked;
  const daemon = askDaemonToStop(
    stopSocketOf(dataFolder),
    { beds, who, why, untilMs },
    { patienceMs: DAEMON_ANSWER_MS },
  );
  const isThere = await within(daemon.taken, FORK_AFTER_MS);
  // Begun before it is known whether it is needed: a process takes a while to be there.
  const outside = isThere.ended && isThere.value ? null : outsideStop(site, dataFolder);
  try {
    const taken = await within(daemon.taken, DAEMON_PATIENCE_MS - FORK_AFTER_MS);
    if (taken.ended && taken.value) {
      const answer = await within(daemon.said, DAEMON_ANSWER_MS);
      if (answer.ended && answer.value !== null) return answer.value;
    }
    const past = outside ?? outsideStop(site, dataFolder);
    try {
      const own = sayStop(await past.stop(asked), sayIn('en'));
      if (own.isWell || taken.ended) return own;
      // A daemon that came to itself meanwhile may have reached what this could not.
      const late = await within(daemon.said, LATE_PATIENCE_MS);
      return late.ended && late.value?.isWell === true ? late.value : own;
    } finally {
      past.leave();
    }
  } finally {
    daemon.close();
    outside?.leave();
  }
}

/**
 * Finds the site to stop: that of the config, else the last good one in its data folder. The demo
 * is stopped only when it is asked for.
 *
 * @throws CommandFailure when no site can be found: nothing was stopped then.
 */
export function siteToStop(
  options: Pick<HoldOptions, 'config' | 'demo'>,
  shell: Pick<Shell, 'cwd' | 'nowMs'>,
): SiteToStop {
  const none = (text: string) =>
    new CommandFailure(2, `NOTHING WAS STOPPED. ${text}; close the valves by hand if it is urgent`);
  if (options.demo === true) {
    const dataFolder = join(shell.cwd, DATA_FOLDER);
    const kept = readKeptSite(dataFolder);
    const demo = openDemo(shell.cwd, shell.nowMs());
    if (kept?.demo === true) return { site: kept, dataFolder, notes: [] };
    if (demo.ok) return { site: keptSiteOf(demo.config, true, null), dataFolder, notes: [] };
    throw none('The demo is not sound');
  }
  const path = resolve(shell.cwd, options.config ?? DEFAULT_CONFIG);
  const read = readConfigSafely(path);
  if (read?.ok === true) {
    const { config } = read;
    const left = readKeptSite(config.dataFolder)?.left ?? [];
    return {
      site: { ...keptSiteOf(config, false, null), left },
      dataFolder: config.dataFolder,
      notes: [],
    };
  }
  const problems = read === null ? [] : read.problems.map(problemText);
  for (const dataFolder of [dataFolderOf(path), join(dirname(path), DATA_FOLDER)]) {
    const site = dataFolder === null ? null : readKeptSite(dataFolder);
    if (site === null || dataFolder === null) continue;
    if (site.demo) {
      throw none(
        `${path}: no such config, and only the embedded demo was run here; name your config with -c, or stop the demo with --demo`,
      );
    }
    const why =
      read === null ? `${path}: no such config` : `the config is wrong:\n${problems.join('\n')}`;
    return { site, dataFolder, notes: [`${why}\nThe last good site of ${dataFolder} stands in.`] };
  }
  throw none(
    read === null
      ? `${path}: no such config, and no site was run here; name your config with -c`
      : `The config is wrong and no last good site is kept:\n${problems.join('\n')}\nCorrect it, or name the right one with -c`,
  );
}

function readConfigSafely(path: string): ConfigResult | null {
  if (!existsSync(path)) return null;
  try {
    return loadConfig(path);
  } catch (error) {
    const message = `cannot be read (got ${error instanceof Error ? error.message : String(error)})`;
    return { ok: false, problems: [{ file: path, line: null, column: null, path: '', message }] };
  }
}
