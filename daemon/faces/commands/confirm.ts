import type { Command } from 'commander';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { confirm } from '../../actions/confirm.ts';
import {
  ALL_CAUTIONS,
  CAUTIONS,
  cautionsFor,
  WEATHER_STANDS_IN,
} from '../../site/gate/valid-confirm.ts';
import { newestPlan } from '../../site/store/plans.ts';
import { sayCaution, sayRefusal } from '../../words/confirm-words.ts';
import type { Say } from '../../words/language.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import type { ConfigOption } from './open-config.ts';
import { passOn } from './pass-on.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { repeatConfig, withSite } from './site-session.ts';

interface ConfirmOptions extends ConfigOption {
  revision: string;
  digest: string;
  who: string;
  caution: string[];
}

/** `dewbeat confirm`: lets exactly the plan that was read out to the outputs. */
export function addConfirm(program: Command, shell: Shell): void {
  program
    .command('confirm')
    .description('confirm the plan that you have read, so that it is sent')
    .requiredOption('--revision <n>', 'revision that you have read')
    .requiredOption('--digest <digest>', 'its digest, the first 8 characters at least')
    .requiredOption('--who <name>', 'who confirms')
    .option(
      '--caution <codes...>',
      `what you have looked at: ${ALL_CAUTIONS.map((caution) => caution.code).join(', ')} (asked for in a terminal; ${WEATHER_STANDS_IN.code} only where the plan rests on stand-in weather)`,
      [],
    )
    .addHelpText(
      'after',
      `\nExample:\n  $ dewbeat confirm --revision 1 --digest 3f2a91bc --who "A. Keeper" --caution ${CAUTIONS.map((caution) => caution.code).join(' ')}`,
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<ConfirmOptions>();
      await withSite(options, shell, async (session) => {
        const { db, config } = session;
        const newest = newestPlan(db);
        if (newest === null) {
          throw new CommandFailure(
            1,
            `plan: there is none yet; make one with \`npx dewbeat plan${repeatConfig(options)}\``,
          );
        }
        const cautions =
          options.caution.length > 0
            ? options.caution
            : await askCautions(shell, newest.plan, sayTo(readerOf(config)));
        const result = confirm(
          { db, config, nowMs: shell.nowMs() },
          {
            revision: Number(options.revision),
            digest: options.digest,
            who: options.who,
            cautions,
          },
        );
        if (!result.ok) {
          const reader = readerOf(config);
          const why = sayRefusal(result.refusal, reader);
          throw new CommandFailure(1, sayTo(reader)('confirm_refused.line', { why }));
        }
        shell.out(result.line);
        if (config.outputs.length > 0) shell.out(result.onItsWay);
        for (const line of result.missed) shell.out(line);
        const { isTaken, lines } = await passOn(session, shell, result.orderId);
        for (const line of lines) shell.out(line);
        if (!isTaken)
          throw new CommandFailure(1, 'confirm: confirmed, and not every output has it');
      });
    });
}

async function askCautions(shell: Shell, plan: DayPlan, say: Say): Promise<string[]> {
  if (!shell.interactive) return [];
  const ticked: string[] = [];
  for (const caution of cautionsFor(plan)) {
    const answer = await shell.ask(`${sayCaution(caution.code, say)} Is that so? (yes/no) `);
    if (/^y(es)?$/i.test(answer.trim())) ticked.push(caution.code);
  }
  return ticked;
}
