import type { Command } from 'commander';
import { runStates } from '../../delivery/what-ran.ts';
import { planStanding } from '../../site/gate/gate.ts';
import { newestPlanOf } from '../../site/store/plans.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { leewayLines } from '../../words/leeway-words.ts';
import { runStateHeading, runStateRows } from '../../words/plan-rows.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import { table } from '../../words/text-columns.ts';
import type { ConfigOption } from './config-option.ts';
import { dayGiven } from './given-options.ts';
import type { Shell } from './shell.ts';
import { readSite } from './site-session.ts';

interface RanOptions extends ConfigOption {
  day?: string;
}

/** `dewbeat ran`: how far each run of a day has come, from the plan to the field and back. */
export function addRan(program: Command, shell: Shell): void {
  program
    .command('ran')
    .description(whatItDoes('ran'))
    .option('--day <day>', say('ran.day'))
    .addHelpText('after', helpAfter('ran'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<RanOptions>();
      await readSite(options, shell, ({ db, config }) => {
        const { clock, field: rule, site } = config;
        const nowMs = shell.nowMs();
        const siteDay =
          options.day === undefined ? clock.siteDayOf(nowMs) : dayGiven('day', options.day);
        const states = runStates(db, { siteDay, clock, nowMs, rule });
        if (states.length === 0) {
          shell.out(say('ran.none', { day: siteDay }));
          return;
        }
        const nameOf = (bedId: string) => site.beds.find((bed) => bed.id === bedId)?.name ?? bedId;
        const reader = readerOf(config);
        const rows = runStateRows(states, { reader, nameOf });
        shell.out(table(runStateHeading(sayTo(reader)), rows));
        const stored = newestPlanOf(db, siteDay);
        if (stored === null) return;
        const standing = planStanding(db, stored);
        if (standing.kind !== 'confirmed') return;
        for (const line of leewayLines(stored.plan, standing, reader)) shell.out(line);
      });
    });
}
