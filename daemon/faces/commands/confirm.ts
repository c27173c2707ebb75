import type { Command } from 'commander';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { bedIdOf } from '../../actions/bed-names.ts';
import { confirm } from '../../actions/confirm.ts';
import {
  ALL_CAUTIONS,
  CAUTIONS,
  cautionsFor,
  WEATHER_STANDS_IN,
} from '../../site/gate/valid-confirm.ts';
import { newestPlan } from '../../site/store/plans.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { sayCaution, sayRefusal } from '../../words/confirm-words.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import type { ConfigOption } from './config-option.ts';
import { passOn } from './pass-on.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { withSite } from './site-session.ts';
import { repeatConfig } from './store-session.ts';

interface ConfirmOptions extends ConfigOption {
  revision: string;
  digest: string;
  who: string;
  caution: string[];
  leeway?: boolean;
  except: string[];
}

/** `dewbeat confirm`: lets exactly the plan that was read out to the outputs. */
export function addConfirm(program: Command, shell: Shell): void {
  program
    .command('confirm')
    .description(whatItDoes('confirm'))
    .requiredOption('--revision <n>', say('confirm.revision'))
    .requiredOption('--digest <digest>', say('confirm.digest'))
    .requiredOption('--who <name>', say('option.who'))
    .option(
      '--caution <codes...>',
      say('confirm.caution', {
        codes: ALL_CAUTIONS.map((caution) => caution.code).join(', '),
        standIn: WEATHER_STANDS_IN.code,
      }),
      [],
    )
    .option('--leeway', say('confirm.leeway'))
    .option('--except <beds...>', say('confirm.except'), [])
    .addHelpText(
      'after',
      helpAfter('confirm', { codes: CAUTIONS.map((caution) => caution.code).join(' ') }),
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<ConfirmOptions>();
      await withSite(options, shell, async (session) => {
        const { db, config } = session;
        const newest = newestPlan(db);
        if (newest === null) {
          const command = `npx dewbeat plan${repeatConfig(options)}`;
          throw new CommandFailure(1, say('plan.none', { command }));
        }
        const cautions =
          options.caution.length > 0 ? options.caution : await askCautions(shell, newest.plan);
        const result = confirm(
          { db, config, nowMs: shell.nowMs() },
          {
            revision: Number(options.revision),
            digest: options.digest,
            who: options.who,
            cautions,
            leewayBedIds: leewayAsked(newest.plan, options),
          },
        );
        if (!result.ok) {
          const why = sayRefusal(result.refusal, readerOf(config));
          throw new CommandFailure(1, say('confirm.refused', { why }));
        }
        shell.out(result.line);
        if (config.outputs.length > 0) shell.out(result.onItsWay);
        if (newest.plan.leeway !== undefined) shell.out(result.leeway);
        for (const line of result.missed) shell.out(line);
        const { isTaken, lines } = await passOn(session, shell, result.orderId);
        for (const line of lines) shell.out(line);
        if (!isTaken) throw new CommandFailure(1, say('confirm.not_everywhere'));
      });
    });
}

/** The beds within whose leeway the day may be followed; null: as laid. */
function leewayAsked(
  { leeway, beds }: DayPlan,
  { leeway: isWanted = false, except: named }: Pick<ConfirmOptions, 'leeway' | 'except'>,
): string[] | null {
  const except = named.map((one) =>
    bedIdOf(
      one,
      beds.map(({ bedId, name }) => ({ id: bedId, name })),
    ),
  );
  if (!isWanted) {
    if (except.length > 0) throw new CommandFailure(2, say('confirm.except_alone'));
    return null;
  }
  if (leeway === undefined) throw new CommandFailure(1, say('confirm.no_leeway'));
  const ids = leeway.beds.map(({ bedId }) => bedId);
  const unknown = except.find((bedId) => !ids.includes(bedId));
  if (unknown !== undefined) {
    throw new CommandFailure(1, say('confirm.no_such_bed', { bed: unknown, beds: ids.join(', ') }));
  }
  return ids.filter((bedId) => !except.includes(bedId));
}

async function askCautions(shell: Shell, plan: DayPlan): Promise<string[]> {
  if (!shell.interactive) return [];
  const ticked: string[] = [];
  for (const caution of cautionsFor(plan)) {
    const asked = sayCaution(caution.code, sayTo({ language: 'en' }));
    const answer = await shell.ask(say('confirm.is_so', { caution: asked }));
    if (/^y(es)?$/i.test(answer.trim())) ticked.push(caution.code);
  }
  return ticked;
}
