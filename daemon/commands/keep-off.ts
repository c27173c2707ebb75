import type { Command } from 'commander';
import { readQuantity } from '../../adapters/quantity.ts';
import { standingRuns } from '../../adapters/standing-runs.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { planInForce } from '../gate/gate.ts';
import { keptOffRuns } from '../gate/kept-off-runs.ts';
import { dryUntilMs, standingAt } from '../planning/standing-keep-offs.ts';
import {
  addKeepOff,
  addKeepOffEnd,
  keepOffById,
  type PersonKeepOff,
  personKeepOffs,
} from '../store/keep-offs.ts';
import { newestPlan } from '../store/plans.ts';
import { addStep } from '../store/steps.ts';
import { localOrInstant } from '../time/local-or-instant.ts';
import { sayKeepOff } from '../words/keep-off-lines.ts';
import { knownBed } from './known-bed.ts';
import type { ConfigOption } from './open-config.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { repeatConfig, type SiteSession, withSite } from './site-session.ts';

/** What keep-offs are for; other words are taken as well. */
const KINDS = 'mow, roll, feed, spray, topdress, covers on, visitors, injector armed';
const LONGEST_LABEL_S = 30 * 24 * 3600;

interface KeepOffOptions extends ConfigOption {
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
  program
    .command('keep-off')
    .description('keep water off beds in the plans to come, or end that; alone: list what stands')
    .option('--bed <ids...>', 'the beds, or all')
    .option('--why <text>', `what for: ${KINDS}, or your own words`)
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
      '\nA keep-off changes plans made from now on. What is in force is stopped by a hold alone.\n\nExamples:\n  $ dewbeat keep-off --bed green-3 green-4 --why "injector armed" --who "A. Keeper"\n  $ dewbeat keep-off --bed green-3 --why spray --label-interval 24h --until 10:30 --who "A. Keeper"\n  $ dewbeat keep-off --end 3 --who "A. Keeper"',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<KeepOffOptions>();
      await withSite(options, shell, (session) => {
        if (options.end !== undefined) return endKeepOff(session, options, shell);
        const { bed, why, who, until, labelInterval, byMistake } = options;
        if (byMistake)
          throw new CommandFailure(2, '--by-mistake: goes with --end; name the number');
        const given = [bed, why, who, until, labelInterval];
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
  for (const one of standing) shell.out(sayStanding(one, session, nowMs));
}

function putOn(session: SiteSession, options: KeepOffOptions, shell: Shell): void {
  const { db, config } = session;
  const nowMs = shell.nowMs();
  const beds = bedsOf(options, session);
  const why = requiredText('--why', options.why, `say what for: ${KINDS}`);
  if (why.length > 80) {
    throw new CommandFailure(2, `--why: is too long (got ${why.length} letters); use 80 or less`);
  }
  const who = requiredText('--who', options.who, 'give your name');
  const untilMs = untilOf(options, session, nowMs);
  const labelIntervalS = labelIntervalOf(options, why);
  const keepOffId = db
    .transaction(() => {
      const added = addKeepOff(db, { atMs: nowMs, who, why, beds, untilMs, labelIntervalS });
      const until = untilMs === null ? 'until ended' : `until ${config.clock.isoOf(untilMs)}`;
      addStep(db, {
        atMs: nowMs,
        kind: 'keep_off_put',
        who,
        siteDay: config.clock.siteDayOf(nowMs),
        what: `${added}: ${beds === 'all' ? 'all beds' : beds.join(', ')}, ${why}, ${until}`,
      });
      return added;
    })
    .immediate() as number;
  const keepOff = keepOffById(db, keepOffId);
  if (keepOff === null) throw new Error('keep_off: not found right after it was added');
  shell.out(sayStanding(keepOff, session, nowMs));
  const inForce = planInForce(db, nowMs);
  const runs = inForce === null ? [] : keptOffRuns(standingRuns(inForce), [keepOff], nowMs);
  if (runs.length > 0) shell.out(stillWaters(runs, { session, options, why, who }));
  shell.out(`A plan that heeds it, to read and confirm: npx dewbeat plan${repeatConfig(options)}`);
}

/** What the plan in force still does on the beds, and the one command that stops it. */
function stillWaters(
  runs: readonly Run[],
  given: { session: SiteSession; options: KeepOffOptions; why: string; who: string },
): string {
  const { session, options, why, who } = given;
  const { config } = session;
  const bedIds = [...new Set(runs.map((run) => run.bedId))];
  const lines = bedIds.map((bedId) => {
    const own = runs.filter((run) => run.bedId === bedId);
    const firstMs = Math.min(...own.map((run) => run.startMs));
    const name = config.site.beds.find((bed) => bed.id === bedId)?.name ?? bedId;
    return `  ${name}: ${own.length} ${own.length === 1 ? 'run' : 'runs'}, the first at ${config.clock.timeOf(firstMs)}`;
  });
  return [
    'THE PLAN IN FORCE STILL WATERS THESE BEDS. A keep-off changes plans; only a hold stops what is in force:',
    ...lines,
    `  npx dewbeat hold${repeatConfig(options)} --beds ${bedIds.join(' ')} --who ${JSON.stringify(who)} --why ${JSON.stringify(why)}`,
  ].join('\n');
}

function endKeepOff(session: SiteSession, options: KeepOffOptions, shell: Shell): void {
  const { db, config } = session;
  const nowMs = shell.nowMs();
  const who = requiredText('--who', options.who, 'give your name');
  const id = Number(options.end);
  const keepOff = Number.isInteger(id) ? keepOffById(db, id) : null;
  if (keepOff === null) {
    throw new CommandFailure(
      2,
      `--end: no such keep-off (got ${options.end}); see their numbers with \`dewbeat keep-off\``,
    );
  }
  const byMistake = options.byMistake === true;
  const dryMs = dryUntilMs(keepOff);
  if (dryMs <= nowMs || (keepOff.endedMs !== null && !byMistake)) {
    const rest =
      dryMs <= nowMs
        ? 'it keeps nothing off any more'
        : `its label keeps water off until ${config.clock.isoOf(dryMs)}`;
    throw new CommandFailure(2, `--end: is over already (got ${id}); ${rest}`);
  }
  db.transaction(() => {
    addKeepOffEnd(db, { keepOffId: id, atMs: nowMs, who, byMistake });
    addStep(db, {
      atMs: nowMs,
      kind: 'keep_off_ended',
      who,
      siteDay: config.clock.siteDayOf(nowMs),
      what: `${id}: ${keepOff.why}${byMistake ? ', put on by mistake' : ''}`,
    });
  }).immediate();
  const after = keepOffById(db, id);
  const still = after !== null && dryUntilMs(after) > nowMs;
  shell.out(
    still ? sayStanding(after, session, nowMs) : `Keep-off ${id} (${keepOff.why}) ended by ${who}.`,
  );
  shell.out(`The next plan waters accordingly: npx dewbeat plan${repeatConfig(options)}`);
}

function sayStanding(keepOff: PersonKeepOff, session: SiteSession, nowMs: number): string {
  const { db, config } = session;
  const planned = newestPlan(db)?.plan.beds ?? [];
  return sayKeepOff(keepOff, { beds: planned, clock: config.clock, nowMs });
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
  if (untilMs <= nowMs) {
    throw new CommandFailure(
      2,
      `--until: has passed (got ${options.until}); give a later time, or leave it out and end it by hand`,
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
