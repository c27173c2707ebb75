import type { Answer, Output, OutputContext } from '../contract.ts';
import { holdsFirst, settledWithin } from './holds-first.ts';
import type { MqttOutputConfig } from './mqtt-config.ts';
import { mqttWay } from './mqtt-way.ts';
import { newsMessage } from './news-message.ts';
import { holdMessage, orderMessage } from './order-messages.ts';
import { deliveryPayload, standingAfter, wantedText, withdrawalPayload } from './order-payload.ts';
import { refusalWhenOver } from './plan-over.ts';
import { runClock } from './run-clock.ts';
import { EVERY_STATION, openMessage, shutMessage } from './run-messages.ts';
import { REAL_TIMERS, type Timers } from './timers.ts';

const STOP_PATIENCE_MS = 800;
const SHUT_AGAIN_MS = 1_000;
const RESUME_AGAIN_MS = 10_000;

/**
 * Publishes each run at its start, for valves that only know on and off. At the start of the output
 * and at its stop everything is shut; in between each message carries its own end, so a daemon that
 * dies leaves nothing open. What is still to come stands retained on a topic of its own, for people
 * and panels; nothing acts on that.
 */
export function createMqttRunsOutput(
  config: MqttOutputConfig,
  context: OutputContext,
  env: NodeJS.ProcessEnv = process.env,
  timers: Timers = REAL_TIMERS,
): Output {
  const { clock } = context;
  const { name } = config;
  const way = mqttWay(config, context, { env, order: 'coming' });
  const desk = holdsFirst();
  const memory = context.runMemory(name);
  const toleranceMs = config.late_tolerance * 1000;
  /** Whether everything was shut since the start; before that nothing may open. */
  let allShut = false;
  let shutting: Promise<Answer> | null = null;
  let running = false;
  /** Whether an order came since the start: it says more than what stood before. */
  let ordered = false;

  const runs = runClock({
    name,
    clock,
    log: context.log,
    memory,
    timers,
    toleranceMs,
    mostAtOnce: config.most_at_once ?? context.stationsAtOnce,
    now: context.now,
    ready: () => running && allShut && way.health().ok,
    send: (orderId, run, nowMs) =>
      way.send([openMessage({ topic: way.topic('run'), orderId, run, nowMs, toleranceMs, clock })]),
  });

  const shutOne = (station: string, ids: { orderId: string | null; runId: string | null }) =>
    shutMessage({ topic: way.topic('run'), station, nowMs: context.now(), clock, ...ids });
  const shutEvery = (orderId: string | null) => shutOne(EVERY_STATION, { orderId, runId: null });

  /** Shuts every station before anything new. */
  async function shutFirst(): Promise<Answer> {
    if (allShut) return { kind: 'accepted', detail: 'shut before' };
    shutting ??= way.send([shutEvery(null)]).finally(() => {
      shutting = null;
    });
    const answer = await shutting;
    if (answer.kind === 'accepted' && running) allShut = true;
    return answer;
  }

  function shutUntilDone(): void {
    if (!running || allShut) return;
    void shutFirst().then(() => {
      if (running && !allShut) timers.later(SHUT_AGAIN_MS, shutUntilDone);
    });
  }

  /** Takes up again what stood when the daemon went down, once the memory can be read. */
  function resume(): void {
    if (!running || ordered) return;
    try {
      runs.put(memory.standing());
    } catch (error) {
      context.log.error({ output: name }, `${name}: what stands cannot be read (${error})`);
      timers.later(RESUME_AGAIN_MS, resume);
    }
  }

  return {
    name,
    async start() {
      if (running) return;
      running = true;
      allShut = false;
      ordered = false;
      await way.start();
      if (!running) return;
      resume();
      runs.start();
      shutUntilDone();
    },
    deliver: (orderId, confirmed) =>
      desk.deliver(orderId, async (signal) => {
        const nowMs = context.now();
        const refusal = refusalWhenOver(confirmed, { where: name, nowMs, clock });
        if (refusal) return refusal;
        const shutNow = await shutFirst();
        if (shutNow.kind !== 'accepted') return shutNow;
        if (signal.aborted) return { kind: 'unknown', detail: 'overtaken by a hold' };
        const payload = deliveryPayload({ orderId, confirmed, clock });
        const expiryS = (confirmed.plan.endMs - nowMs) / 1000;
        const answer = await way.send([orderMessage(way.topic('coming'), payload, expiryS)]);
        // Right before it takes effect: a hold may have come while the broker was silent.
        if (answer.kind === 'accepted' && !signal.aborted) {
          ordered = true;
          runs.put({ orderId, confirmed });
        }
        return answer;
      }),
    withdraw: (orderId, withdrawal) => {
      const standing = standingAfter(withdrawal);
      const { beds } = withdrawal;
      return desk.withdraw(orderId, async () => {
        // Before anything is sent: from here on nothing opens but what remains.
        ordered = true;
        runs.put(standing && { orderId, confirmed: standing });
        const payload = withdrawalPayload({ orderId, withdrawal, clock });
        const expiryS = standing ? (standing.plan.endMs - context.now()) / 1000 : null;
        const open = runs.openOn(beds);
        const answer = await way.send([
          ...open.map(({ stationId, runId }) => shutOne(stationId, { orderId, runId })),
          ...(beds === 'all' ? [shutEvery(orderId)] : []),
          holdMessage(way.topic('hold'), payload, withdrawal),
          orderMessage(way.topic('coming'), payload, expiryS),
        ]);
        // Until the broker has it they count as open: asked again, they are shut again.
        if (answer.kind === 'accepted') runs.forget(open);
        return answer;
      });
    },
    async find(wanted) {
      const found = way.find(wanted === null ? null : wantedText(wanted, clock));
      if (wanted !== null && found.kind !== 'as_wanted') desk.forget(wanted.orderId);
      return found;
    },
    // Nothing acts on what stands there, but a panel must not show what is past.
    keepsPastOrders: config.protocol === '3.1.1',
    tell: (news) => way.send([newsMessage(way.topic('news'), news, clock)]),
    health: way.health,
    async stop() {
      const wasRunning = running;
      // At once: a start that still waits for its secrets must not begin the clock again.
      running = false;
      runs.stop();
      runs.put(null);
      if (wasRunning) await settledWithin(way.send([shutEvery(null)]), STOP_PATIENCE_MS);
      await way.stop();
      await desk.close(0);
    },
  };
}
