import { existsSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { bedIdOf } from '../../actions/bed-names.ts';
import { bedsToHold } from '../../actions/stop-water.ts';
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
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { sayStop, sayStrangers } from '../../words/delivery-words.ts';
import { sayIn } from '../../words/language.ts';
import { type ConfigOption, DEFAULT_CONFIG } from './config-option.ts';
import { wrongOption } from './given-options.ts';
import { CommandFailure, type Shell } from './shell.ts';

interface StopOptions extends ConfigOption {
  beds?: string[];
  bed?: string[];
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

/** `dewbeat stop-water`: stops water at once, on every bed or on those named. */
export function addStopWater(program: Command, shell: Shell): void {
  asStopWater(program.command('stop-water'), shell);
  // Somebody's hand knows the name that it had before.
  asStopWater(program.command('hold', { hidden: true }), shell);
}

function asStopWater(command: Command, shell: Shell): void {
  command
    .description(whatItDoes('stop-water'))
    .option('--beds <ids...>', say('stop-water.beds'))
    // As other commands have it: a stop must not fail over a letter.
    .addOption(new Option('--bed <ids...>', say('stop-water.beds')).hideHelp())
    .option('--who <name>', say('stop-water.who'), say('stop-water.somebody'))
    .option('--why <reason>', say('stop-water.why'), say('stop-water.no_reason'))
    .option('--until <time>', say('stop-water.until'))
    .option('--demo', say('stop-water.demo'))
    .addHelpText('after', helpAfter('stop-water'))
    .action(async (_, self: Command) => {
      const options = self.optsWithGlobals<StopOptions>();
      const found = siteToStop(options, shell);
      const { site } = found;
      for (const note of found.notes) shell.err(note);
      shell.out(
        say('stop-water.site', {
          name: site.site_name,
          id: site.site_id,
          folder: found.dataFolder,
        }),
      );
      const named = [...(options.beds ?? []), ...(options.bed ?? [])];
      const known = site.bed_ids.map((id) => ({ id }));
      const asked = named.length === 0 ? 'all' : named.map((one) => bedIdOf(one, known));
      const { beds, ...names } = bedsToHold(site.bed_ids, asked);
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
        throw wrongOption('until', 'stop-water.bad_until', { got: options.until });
      }
      if (!isWell) throw new CommandFailure(1, say('stop-water.not_well'));
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
  options: Pick<StopOptions, 'config' | 'demo'>,
  shell: Pick<Shell, 'cwd' | 'nowMs'>,
): SiteToStop {
  const none = (why: string) => new CommandFailure(2, say('stop-water.nothing', { why }));
  if (options.demo === true) {
    const dataFolder = join(shell.cwd, DATA_FOLDER);
    const kept = readKeptSite(dataFolder);
    const demo = openDemo(shell.cwd, shell.nowMs());
    if (kept?.demo === true) return { site: kept, dataFolder, notes: [] };
    if (demo.ok) return { site: keptSiteOf(demo.config, true, null), dataFolder, notes: [] };
    throw none(say('stop-water.demo_unsound'));
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
  const problems = read === null ? '' : read.problems.map(problemText).join('\n');
  for (const dataFolder of [dataFolderOf(path), join(dirname(path), DATA_FOLDER)]) {
    const site = dataFolder === null ? null : readKeptSite(dataFolder);
    if (site === null || dataFolder === null) continue;
    if (site.demo) throw none(say('stop-water.only_demo', { path }));
    const why =
      read === null
        ? say('stop-water.no_config', { path })
        : say('stop-water.wrong_config', { problems });
    return { site, dataFolder, notes: [say('stop-water.stands_in', { why, folder: dataFolder })] };
  }
  throw none(
    read === null
      ? say('stop-water.no_site', { path })
      : say('stop-water.no_good_site', { problems }),
  );
}

function readConfigSafely(path: string): ConfigResult | null {
  if (!existsSync(path)) return null;
  try {
    return loadConfig(path);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    const message = say('stop-water.unreadable', { why });
    return { ok: false, problems: [{ file: path, line: null, column: null, path: '', message }] };
  }
}
