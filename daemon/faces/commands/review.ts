import type { Command } from 'commander';
import { keptSiteOf } from '../../delivery/earlier-configs.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { frame } from '../terminal/frame.ts';
import { runReview } from '../terminal/review-loop.ts';
import { applyUpdate, reviewSession } from '../terminal/review-session.ts';
import { initialReview } from '../terminal/review-state.ts';
import type { ConfigOption } from './config-option.ts';
import { passOn } from './pass-on.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { type SiteSession, withSite } from './site-session.ts';
import { stopWater } from './stop-water.ts';

interface ReviewOptions extends ConfigOption {
  who?: string;
}

/** Without a terminal the first screen is printed once, so large that nothing is left out. */
const PRINTED = { width: 100, height: 200 };

/** `dewbeat review`: the morning review, live in the terminal. */
export function addReview(program: Command, shell: Shell): void {
  program
    .command('review')
    .description(whatItDoes('review'))
    .option('--who <name>', say('review.who'))
    .addHelpText('after', helpAfter('review'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<ReviewOptions>();
      await withSite(options, shell, (session) => review(session, options, shell));
    });
}

async function review(session: SiteSession, options: ReviewOptions, shell: Shell): Promise<void> {
  const { db, config, weather } = session;
  const { clock, units } = config;
  const own = reviewSession({
    db,
    config,
    weather,
    now: shell.nowMs,
    stop: (beds, who) => stop(session, shell, { beds, who }),
    passOn: async (orderId) => (await passOn(session, shell, orderId)).lines,
  });
  const first = initialReview(options.who ?? '');
  if (shell.terminal === undefined) {
    const news = await own.read(first);
    if (news.kind === 'unreadable')
      throw new CommandFailure(1, say('review.unreadable', { why: news.text }));
    const { lines } = frame(applyUpdate(first, news), PRINTED, { timeOf: clock.timeOf });
    const last = lines.findLastIndex((line, index) => index < lines.length - 3 && line.text !== '');
    shell.out(
      lines
        .slice(0, last + 1)
        .map((line) => line.text)
        .join('\n'),
    );
    return;
  }
  await runReview({
    terminal: await shell.terminal(),
    session: own,
    site: { clock, units },
    first,
    onStop: shell.onStop,
    onReload: shell.onReload,
  });
}

/** Stops water past everything that the review is about, and says what is true. */
async function stop(
  { config, demo, db }: SiteSession,
  shell: Shell,
  { beds, who }: { beds: 'all' | string[]; who: string },
): Promise<{ text: string; isWell: boolean }> {
  const site = keptSiteOf(config, demo, db);
  const { line, outputs, isWell } = await stopWater(
    { site, dataFolder: config.dataFolder, notes: [] },
    { beds, who, why: say('stop-water.no_reason'), untilMs: null, atMs: shell.nowMs() },
  );
  return { text: [line, ...outputs].join(' '), isWell };
}
