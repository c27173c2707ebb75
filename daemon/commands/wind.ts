import type { Command } from 'commander';
import type { WindChoice, WindQuestion } from '../../calc/schedule/wind-answers.ts';
import { answerWind } from '../actions/answer-wind.ts';
import { newestPlanOf } from '../store/plans.ts';
import { sayWind } from '../words/plan-words.ts';
import { readerOf } from '../words/reader.ts';
import { type ActionOptions, doAction, withActionOptions } from './do-action.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { type SiteSession, withSite } from './site-session.ts';

interface WindOptions extends ActionOptions {
  answer?: string;
  who?: string;
}

/** The answers as they are typed. */
const TYPED: Readonly<Record<string, WindChoice>> = {
  run: 'run_anyway',
  shorter: 'shorter_and_oftener',
  skip: 'skip',
};

/** `dewbeat wind`: what today's plan asks about the wind, and a person's answer. */
export function addWind(program: Command, shell: Shell): void {
  withActionOptions(program.command('wind'))
    .description('answer what today’s plan asks about the wind; alone: show it')
    .option('--answer <answer>', `one of ${Object.keys(TYPED).join(', ')}`)
    .option('--who <name>', 'who answers')
    .addHelpText(
      'after',
      '\nrun: cycles stay in the wind where no lull takes them, as the plan is laid until somebody answers. shorter: single rotations, as often as they are needed. skip: nothing runs while the wind is above the limit. An answer holds for the site day and stands in place of an earlier one.\n\nExample:\n  $ dewbeat wind --answer skip --who "A. Keeper"',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<WindOptions>();
      await withSite(options, shell, (session) => wind(session, options, shell));
    });
}

async function wind(session: SiteSession, options: WindOptions, shell: Shell): Promise<void> {
  const { db, config } = session;
  const nowMs = shell.nowMs();
  if (options.answer === undefined) {
    if (options.preview === true || options.who !== undefined) {
      throw new CommandFailure(
        2,
        `--answer: is missing; give one of ${Object.keys(TYPED).join(', ')}`,
      );
    }
    const newest = newestPlanOf(db, config.clock.siteDayOf(nowMs));
    tellQuestion(newest?.plan.question ?? null, session, shell);
    return;
  }
  const choice = choiceOf(options.answer);
  const who = requiredText('--who', options.who, 'give your name');
  await doAction(session, shell, {
    options,
    nowMs,
    actionOf: () => answerWind({ db, config, nowMs }, { choice, who }),
  });
}

function choiceOf(typed: string): WindChoice {
  const choice = TYPED[typed];
  if (choice !== undefined) return choice;
  throw new CommandFailure(
    2,
    `--answer: no such answer (got ${typed}); the answers are ${Object.keys(TYPED).join(', ')}`,
  );
}

function tellQuestion(question: WindQuestion | null, { config }: SiteSession, shell: Shell): void {
  if (question === null) {
    shell.out('The newest plan of today asks nothing about the wind.');
    return;
  }
  shell.out(sayWind(question, readerOf(config)));
  shell.out('Answer with --answer run, shorter or skip and --who NAME; --preview shows it first.');
}
