import { postAlert } from '../../../adapters/alert-webhook.ts';
import type { Alert, Answer, StoppableOutput } from '../../../adapters/contract.ts';
import { type DeliveryContext, deliverOutbox } from '../../delivery/deliver-outbox.ts';
import { emptyPlace, type LeftPlace } from '../../delivery/earlier-configs.ts';
import { type ReadBackMemory, readBack } from '../../delivery/read-back.ts';
import {
  ALERT_VALID_MS,
  addAlertTry,
  MOST_ALERT_TRIES,
  nextAlert,
  openAlerts,
} from '../../site/store/alerts.ts';
import { addAuditEntry, DAEMON } from '../../site/store/audit-log.ts';
import { inTransaction } from '../../site/store/database.ts';
import { within } from '../../within.ts';
import type { Job, JobParts } from './job.ts';

/** Deliveries are looked for this often: a hold from another process waits no longer. */
const DELIVERY_LOOK_MS = 500;

/** Sends what is owed to the outputs, and logs what they answer. */
export function deliveriesJob({ log }: JobParts, delivery: DeliveryContext): Job {
  const { memory } = delivery;
  let toldFault: string | null = null;
  return {
    name: 'deliveries',
    every: { ms: DELIVERY_LOOK_MS },
    async work() {
      const done = await deliverOutbox(delivery);
      for (const { order, answer } of done) {
        const line = { order: order.orderId, output: order.output, answer: answer.kind };
        if (answer.kind === 'accepted') log.info(line, answer.detail);
        else log.warn(line, answer.detail);
      }
      // Two rounds a second over a full disk: one line when it begins, not one each.
      if (memory.storeFault !== null && memory.storeFault !== toldFault) {
        log.error(
          `database: refuses to be written (got ${memory.storeFault}); nothing is delivered until it can, holds go out all the same; free some space or mend its rights`,
        );
      }
      toldFault = memory.storeFault;
    },
  };
}

/** What stands at the receivers is looked at this often. */
const READ_BACK_LOOK_MS = 2_000;

/** Reads back what stands at the outputs, and puts right what differs from what the store wants. */
export function readBackJob(
  { log }: JobParts,
  { delivery, memory }: { delivery: DeliveryContext; memory: ReadBackMemory },
): Job {
  return {
    name: 'reading back',
    every: { ms: READ_BACK_LOOK_MS },
    async work() {
      for (const { output, what, why, answer } of await readBack(delivery, memory)) {
        const line = { output, what, answer: answer?.kind ?? null };
        log.warn(line, `${output} was not as wanted: ${why}`);
      }
    },
  };
}

const LEFT_PLACE_LOOK_MS = 5_000;
const LINGER_MS = 3_000;

/** A left place with the output that reaches it, and what is in the way. */
export interface OpenLeftPlace {
  place: LeftPlace;
  output: StoppableOutput;
  fault: string | null;
}

/** Empties the places that no output of the config writes to any more, until they are empty. */
export function leftPlacesJob(parts: JobParts, left: OpenLeftPlace[]): Job {
  const { config, db, log, now, onLeft } = parts;
  return {
    name: 'left places',
    every: { ms: LEFT_PLACE_LOOK_MS },
    async work() {
      const waiting = [...left];
      await Promise.allSettled(
        waiting.map(async (one) => {
          const { place, output } = one;
          const fault = await emptyPlace(place, output, { db, config, nowMs: now() });
          if (fault !== null && fault !== one.fault) {
            log.error({ place: place.place }, `${place.place}: runs may stand there: ${fault}`);
          }
          one.fault = fault;
          if (fault !== null) return;
          log.info({ place: place.place }, `${place.place}: emptied; nothing is written there now`);
          left.splice(left.indexOf(one), 1);
          onLeft?.();
          // A stop that was already on its way there is still answered.
          setTimeout(() => void output.stop(), LINGER_MS).unref();
        }),
      );
    },
  };
}

const ALERT_LOOK_MS = 2_000;
/** A round waits no longer than this; a listener that is slow answers to a later one. */
const ROUND_PATIENCE_MS = 200;
/** The name of the webhook among the listeners; no output may be called so, it has a space. */
const WEBHOOK = 'the webhook';

/** Passes news on to every listener: outputs that can, and the webhook. It holds nothing up. */
export function alertsJob({ config, db, outputs, log, now }: JobParts): Job {
  const { webhook, baseFolder, clock, site } = config;
  const listeners = new Map<string, (news: Alert) => Promise<Answer>>();
  for (const output of outputs.values()) {
    if (output.tell !== undefined) {
      listeners.set(
        output.name,
        (news) => output.tell?.(news) ?? Promise.reject(new Error('mute')),
      );
    }
  }
  if (webhook !== null) {
    listeners.set(WEBHOOK, (news) => postAlert(webhook, news, { isoOf: clock.isoOf, baseFolder }));
  }
  const underWay = new Map<string, Promise<void>>();

  async function tell(listener: string, hear: (news: Alert) => Promise<Answer>): Promise<void> {
    const next = nextAlert(openAlerts(db, listener, now() - ALERT_VALID_MS), now());
    if (next === null) return;
    const { newsId, kind, siteDay, atMs, text, revision, digest } = next;
    const about = { kind, siteDay, atMs, text, revision, digest };
    const answer = await hear({ ...about, newsId: `${site.id}-${newsId}`, siteId: site.id }).catch(
      (error: unknown): Answer => ({ kind: 'unknown', detail: String(error) }),
    );
    if (!db.open) return;
    const took = answer.kind === 'accepted';
    const tries = next.tries + 1;
    const givenUp = !took && (answer.kind === 'rejected' || tries >= MOST_ALERT_TRIES);
    inTransaction(db, () => {
      const row = { newsId, listener, atMs: now(), detail: answer.detail };
      // What was refused for good is closed with tries that are used up.
      const rows = givenUp ? MOST_ALERT_TRIES - next.tries : 1;
      for (let index = 0; index < rows; index++) addAlertTry(db, { ...row, took });
      if (!givenUp) return;
      const what = `${listener} did not take "${text}": ${answer.detail}`;
      addAuditEntry(db, { atMs: now(), kind: 'news_failed', who: DAEMON, siteDay, what });
    });
    if (givenUp) log.warn({ listener }, `news was not taken, and is given up: ${answer.detail}`);
  }

  return {
    name: 'news',
    every: { ms: ALERT_LOOK_MS },
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
