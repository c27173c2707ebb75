import type { Command } from 'commander';
import { readQuantity } from '../../adapters/quantity.ts';
import type { Action } from '../actions/action.ts';
import type { ActionContext } from '../actions/action-context.ts';
import { endKeepOff } from '../actions/end-keep-off.ts';
import {
  KEEP_OFF_KINDS,
  LONGEST_LABEL_S,
  putKeepOff,
  runsStillWatering,
  sayStandingKeepOff,
} from '../actions/put-keep-off.ts';
import { standingAt } from '../gate/standing-keep-offs.ts';
import { personKeepOffs } from '../store/keep-offs.ts';
import { localOrInstant } from '../time/local-or-instant.ts';
import { type ActionOptions, doAction, withActionOptions } from './do-action.ts';
import { knownBed } from './known-bed.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { repeatConfig, type SiteSession, withSite } from './site-session.ts';

interface KeepOffOptions extends ActionOptions {
  bed?: string[];
  why?: string;
  who?: string;
  until?: string;
  labelInterval?: string;
  end?: string;
  byMistake?: true;
}

/** `dewbeat keep-off`: keeps water off beds in plans made from now on, until a person ends it. */
export function addKeepOffCommand(program: Command, shell: Shell): void {
  withActionOptions(program.command('keep-off'))
    .description('keep water off beds in the plans to come, or end that; alone: list what stands')
    .option('--bed <ids...>', 'the beds, or all')
    .option('--why <text>', `what for: ${KEEP_OFF_KINDS}, or your own words`)
    .option('--who <name>', 'who puts it on, or ends it')
    .option(
      '--until <time>',
      'when it ends: HH:MM today, or ISO 8601 with an offset (default: when a person ends it)',
    )
    .option(
      '--label-interval <duration>',
      'after a spray: how long its label keeps water off, such as 24h',
    )
    .option('--end <id>', 'end the keep-off of this number')
    .option('--by-mistake', 'with --end: it was put on by mistake, no label interval follows')
    .addHelpText(
      'after',
      '\nA keep-off changes plans made from now on. What is in force is stopped by a hold alone.\n\nExamples:\n  $ dewbeat keep-off --bed green-3 green-4 --why "injector armed" --who "A. Keeper"\n  $ dewbeat keep-off --bed green-3 --why spray --label-interval 24h --until 15:30 --who "A. Keeper"\n  $ dewbeat keep-off --end 2 --who "A. Keeper"\n  $ dewbeat keep-off --bed all --why visitors --until 15:00 --who "A. Keeper" --preview',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<KeepOffOptions>();
      await withSite(options, shell, (session) => {
        if (options.end !== undefined) return end(session, options, shell);
        const { bed, why, who, until, labelInterval, byMistake, preview } = options;
        if (byMistake)
          throw new CommandFailure(2, '--by-mistake: goes with --end; name the number');
        const given = [bed, why, who, until, labelInterval, preview];
        return given.some((one) => one !== undefined)
          ? putOn(session, options, shell)
          : list(session, shell);
      });
    });
}

function list(session: SiteSession, shell: Shell): void {
  const nowMs = shell.nowMs();
  const standing = standingAt(personKeepOffs(session.db), nowMs);
  if (standing.length === 0) {
    shell.out('No keep-off stands. Those of the config are not listed here.');
    return;
  }
  const context = { ...session, nowMs };
  for (const one of standing) shell.out(sayStandingKeepOff(context, one));
}

async function putOn(session: SiteSession, options: KeepOffOptions, shell: Shell): Promise<void> {
  const nowMs = shell.nowMs();
  const context = { ...session, nowMs };
  const beds = bedsOf(options, session);
  const why = requiredText('--why', options.why, `say what for: ${KEEP_OFF_KINDS}`);
  const who = requiredText('--who', options.who, 'give your name');
  const untilMs = untilOf(options, session, nowMs);
  const labelIntervalS = labelIntervalOf(options, why);
  await doAction(session, shell, {
    options,
    nowMs,
    actionOf: () => putKeepOff(context, { beds, why, who, untilMs, labelIntervalS }),
    alsoSay: (action) => holdLines(action, { context, options, who, why }),
  });
}

/** The hold that stops what is in force on the beds of a keep-off, where anything still waters them. */
function holdLines(
  action: Action,
  given: { context: ActionContext; options: KeepOffOptions; who: string; why: string },
): string[] {
  const { context, options, who, why } = given;
  const [put] = action.hypothetical.keepOffs ?? [];
  const runs = put === undefined ? [] : runsStillWatering(context, put);
  if (runs.length === 0) return [];
  const bedIds = [...new Set(runs.map((run) => run.bedId))];
  return [
    `  npx dewbeat hold${repeatConfig(options)} --beds ${bedIds.join(' ')} --who ${JSON.stringify(who)} --why ${JSON.stringify(why)}`,
  ];
}

async function end(session: SiteSession, options: KeepOffOptions, shell: Shell): Promise<void> {
  const who = requiredText('--who', options.who, 'give your name');
  const byMistake = options.byMistake === true;
  const nowMs = shell.nowMs();
  const context = { ...session, nowMs };
  const keepOffId = Number(options.end);
  await doAction(session, shell, {
    options,
    nowMs,
    actionOf: () => endKeepOff(context, { keepOffId, byMistake, who }),
  });
}

function bedsOf(options: KeepOffOptions, { config }: SiteSession): 'all' | string[] {
  const { bed: named = [] } = options;
  const isAll = named.length === 1 && named[0] === 'all';
  if (isAll && !config.site.beds.some((bed) => bed.id === 'all')) return 'all';
  if (named.length === 0) knownBed(config.site, undefined);
  return [...new Set(named.map((id) => knownBed(config.site, id).id))];
}

function untilOf(options: KeepOffOptions, { config }: SiteSession, nowMs: number): number | null {
  if (options.until === undefined) return null;
  const untilMs = localOrInstant(options.until, nowMs, config.clock);
  if (untilMs === null) {
    throw new CommandFailure(
      2,
      `--until: no time (got ${options.until}); write HH:MM or ISO 8601 with an offset`,
    );
  }
  return untilMs;
}

function labelIntervalOf(options: KeepOffOptions, why: string): number {
  if (options.labelInterval === undefined) return 0;
  if (!/^spray/i.test(why)) {
    throw new CommandFailure(
      2,
      `--label-interval: goes with a spray (got --why ${why}); write --why spray`,
    );
  }
  const reading = readQuantity(options.labelInterval, 'duration_s', {
    min: 60,
    max: LONGEST_LABEL_S,
  });
  if (!reading.ok) throw new CommandFailure(2, `--label-interval: ${reading.message}`);
  return reading.value;
}
