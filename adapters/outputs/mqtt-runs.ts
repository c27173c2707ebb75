import type {
  AdapterLog,
  Answer,
  ConfirmedPlan,
  Output,
  OutputContext,
  RunMemory,
} from '../contract.ts';
import type { SiteClock } from '../site-clock.ts';
import {
  dueRuns,
  EVERY_STATION,
  type OpenStation,
  openMessage,
  secondsLeft,
  shutMessage,
  type TimedRun,
  timedRuns,
} from './due-runs.ts';
import { holdsFirst, settledWithin } from './holds-first.ts';
import { mqttChannel } from './mqtt.ts';
import type { MqttOutputConfig } from './mqtt-config.ts';
import { alertMessage, holdMessage, orderMessage } from './mqtt-messages.ts';
import {
  deliveryPayload,
  refusalWhenOver,
  standingAfter,
  wantedText,
  withdrawalPayload,
} from './order-document.ts';
import { type ClockReadings, compareClocks, REAL_TIMERS, type Timers } from './timers.ts';

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
  const way = mqttChannel(config, context, { env, order: 'coming' });
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
    tell: (news) => way.send([alertMessage(way.topic('news'), news, clock)]),
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

/** What stands, under the order that says so. */
export interface StandingOrder {
  orderId: string;
  confirmed: ConfirmedPlan;
}

export interface RunClock {
  /** From now on only this may run; null: nothing. */
  put(order: StandingOrder | null): void;
  /** Stations of these beds that were opened and have not come to their end. */
  openOn(beds: 'all' | readonly string[]): OpenStation[];
  /** Takes these as shut: something else told them to. */
  forget(shut: readonly OpenStation[]): void;
  start(): void;
  stop(): void;
}

/** However far the next start is, both clocks are compared this often. */
const LONGEST_SLEEP_MS = 1_000;

/** Wakes at each start and sends what `dueRuns` says; it decides nothing itself. */
export function runClock(given: {
  name: string;
  clock: SiteClock;
  log: AdapterLog;
  memory: RunMemory;
  timers: Timers;
  toleranceMs: number;
  mostAtOnce: number;
  now(): number;
  /** Whether a message could go out now: what cannot be sent is not claimed. */
  ready(): boolean;
  send(orderId: string, run: TimedRun, nowMs: number): Promise<Answer>;
}): RunClock {
  const { name, clock, log, memory, timers } = given;
  let orderId: string | null = null;
  let standing: TimedRun[] = [];
  const known = new Set<string>();
  const closed = {
    has(runId: string): boolean {
      if (known.has(runId)) return true;
      if (!memory.has(runId)) return false;
      known.add(runId);
      return true;
    },
  };
  let time: ClockReadings | null = null;
  /** Until when each station stays open, by the clock that nobody can set. */
  let open: OpenStation[] = [];
  let cancel: (() => void) | null = null;
  let fault: string | null = null;

  function look(): ClockReadings {
    time = compareClocks(time, { nowMs: given.now(), monoMs: timers.monoMs() });
    if (time.jumpMs !== 0) {
      const byS = Math.round(time.jumpMs / 1000);
      log.warn({ output: name }, `${name}: the clock jumped by ${byS} s; nothing is made up for`);
    }
    return time;
  }

  /** Gives how long to sleep. */
  function tick(): number {
    const { nowMs, monoMs, notBeforeMs } = look();
    open = open.filter(({ untilMs }) => untilMs > monoMs);
    if (orderId === null) return LONGEST_SLEEP_MS;
    const under = orderId;
    const due = dueRuns({
      standing,
      closed,
      // The wall clock may have been set: what is left of an opening is counted from now.
      open: open.map((one) => ({ ...one, untilMs: nowMs + one.untilMs - monoMs })),
      nowMs,
      notBeforeMs,
      toleranceMs: given.toleranceMs,
      mostAtOnce: given.mostAtOnce,
    });
    for (const { run, why } of due.missed) miss(under, run, why);
    if (due.send.length > 0 && given.ready()) {
      // Asked anew at each start: a hold counts from the moment that the store has it.
      const allowed = allowedNow(under);
      for (const run of due.send.filter(({ runId }) => allowed.has(runId))) {
        sendRun(under, run, { nowMs, monoMs });
      }
    }
    return due.nextMs === null ? LONGEST_SLEEP_MS : due.nextMs - nowMs;
  }

  function allowedNow(under: string): Set<string> {
    const stored = memory.standing();
    if (stored === null || stored.orderId !== under) return new Set();
    return new Set(timedRuns(stored.confirmed, clock).map(({ runId }) => runId));
  }

  function miss(under: string, run: TimedRun, why: string): void {
    memory.add({ runId: run.runId, orderId: under, what: 'missed', detail: why });
    log.warn({ output: name, run: run.runId }, `${name}: ${run.runId} is not sent: ${why}`);
  }

  function sendRun(under: string, run: TimedRun, at: { nowMs: number; monoMs: number }): void {
    // Remembered first: after a power cut in between, a run is rather left out than sent twice.
    memory.add({ runId: run.runId, orderId: under, what: 'claimed', detail: 'about to be sent' });
    const { runId, stationId, bedId } = run;
    const untilMs = at.monoMs + secondsLeft(run, at.nowMs) * 1000;
    open.push({ runId, stationId, bedId, untilMs });
    const tell = (answer: Answer) => {
      try {
        memory.add({ runId, orderId: under, what: answer.kind, detail: answer.detail });
      } catch (error) {
        log.error({ output: name, run: runId }, `${name}: ${answer.kind} not kept: ${error}`);
      }
      const line = `${name}: ${runId} ${answer.kind}, ${answer.detail}`;
      if (answer.kind === 'accepted') log.info({ output: name, run: runId }, line);
      else log.warn({ output: name, run: runId }, line);
    };
    given.send(under, run, at.nowMs).then(tell, (error: unknown) => {
      tell({ kind: 'unknown', detail: String(error) });
    });
  }

  function wake(): void {
    let sleepMs = LONGEST_SLEEP_MS;
    try {
      sleepMs = tick();
      fault = null;
    } catch (error) {
      // Without a memory nothing is sent; one line when it begins, not one each second.
      const words = error instanceof Error ? error.message : String(error);
      if (words !== fault) log.error({ output: name }, `${name}: no run can be sent (${words})`);
      fault = words;
    }
    cancel = timers.later(Math.min(LONGEST_SLEEP_MS, Math.max(1, sleepMs)), wake);
  }

  function wakeSoon(): void {
    if (cancel === null) return;
    cancel();
    cancel = timers.later(0, wake);
  }

  return {
    put: (order) => {
      orderId = order?.orderId ?? null;
      standing = order === null ? [] : timedRuns(order.confirmed, clock);
      known.clear();
      wakeSoon();
    },
    openOn: (beds) => {
      const monoMs = timers.monoMs();
      const covered = ({ bedId }: OpenStation) => beds === 'all' || beds.includes(bedId);
      return open.filter((one) => one.untilMs > monoMs && covered(one));
    },
    forget: (shut) => {
      const ids = new Set(shut.map(({ runId }) => runId));
      open = open.filter(({ runId }) => !ids.has(runId));
    },
    start: () => {
      cancel ??= timers.later(0, wake);
    },
    stop: () => {
      cancel?.();
      cancel = null;
    },
  };
}
