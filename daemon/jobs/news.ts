import type { Answer } from '../../adapters/contract.ts';
import type { News } from '../../adapters/news.ts';
import { postNews } from '../../adapters/news-webhook.ts';
import { MOST_NEWS_TRIES, NEWS_VALID_MS, nextNews } from '../delivery/next-news.ts';
import { inTransaction } from '../store/in-transaction.ts';
import { addNewsTry, openNews } from '../store/news.ts';
import { addStep, DAEMON } from '../store/steps.ts';
import { within } from '../within.ts';
import type { Job, JobParts } from './job.ts';

const LOOK_MS = 2_000;
/** A round waits no longer than this; a listener that is slow answers to a later one. */
const ROUND_PATIENCE_MS = 200;
/** The name of the webhook among the listeners; no output may be called so, it has a space. */
const WEBHOOK = 'the webhook';

/** Passes news on to every listener: outputs that can, and the webhook. It holds nothing up. */
export function newsJob({ config, db, outputs, log, now }: JobParts): Job {
  const { webhook, baseFolder, clock, site } = config;
  const listeners = new Map<string, (news: News) => Promise<Answer>>();
  for (const output of outputs.values()) {
    if (output.tell !== undefined) {
      listeners.set(
        output.name,
        (news) => output.tell?.(news) ?? Promise.reject(new Error('mute')),
      );
    }
  }
  if (webhook !== null) {
    listeners.set(WEBHOOK, (news) => postNews(webhook, news, { isoOf: clock.isoOf, baseFolder }));
  }
  const underWay = new Map<string, Promise<void>>();

  async function tell(listener: string, hear: (news: News) => Promise<Answer>): Promise<void> {
    const next = nextNews(openNews(db, listener, now() - NEWS_VALID_MS), now());
    if (next === null) return;
    const { newsId, kind, siteDay, atMs, text, revision, digest } = next;
    const about = { kind, siteDay, atMs, text, revision, digest };
    const answer = await hear({ ...about, newsId: `${site.id}-${newsId}`, siteId: site.id }).catch(
      (error: unknown): Answer => ({ kind: 'unknown', detail: String(error) }),
    );
    if (!db.open) return;
    const took = answer.kind === 'accepted';
    const tries = next.tries + 1;
    const givenUp = !took && (answer.kind === 'rejected' || tries >= MOST_NEWS_TRIES);
    inTransaction(db, () => {
      const row = { newsId, listener, atMs: now(), detail: answer.detail };
      // What was refused for good is closed with tries that are used up.
      const rows = givenUp ? MOST_NEWS_TRIES - next.tries : 1;
      for (let index = 0; index < rows; index++) addNewsTry(db, { ...row, took });
      if (!givenUp) return;
      const what = `${listener} did not take "${text}": ${answer.detail}`;
      addStep(db, { atMs: now(), kind: 'news_failed', who: DAEMON, siteDay, what });
    });
    if (givenUp) log.warn({ listener }, `news was not taken, and is given up: ${answer.detail}`);
  }

  return {
    name: 'news',
    every: { ms: LOOK_MS },
    async work() {
      for (const [listener, hear] of listeners) {
        if (underWay.has(listener)) continue;
        const telling = tell(listener, hear)
          .catch((error: unknown) => log.error({ err: error, listener }, 'news: failed'))
          .finally(() => underWay.delete(listener));
        underWay.set(listener, telling);
      }
      await within(Promise.all(underWay.values()), ROUND_PATIENCE_MS);
    },
  };
}
