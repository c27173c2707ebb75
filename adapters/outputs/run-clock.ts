import type { AdapterLog, Answer, ConfirmedPlan, RunMemory } from '../contract.ts';
import type { SiteClock } from '../site-clock.ts';
import { dueRuns, type OpenStation, type TimedRun } from './due-runs.ts';
import { secondsLeft, timedRuns } from './run-messages.ts';
import { lookAgain, type SteadyTime } from './steady-time.ts';
import type { Timers } from './timers.ts';

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
  let time: SteadyTime | null = null;
  /** Until when each station stays open, by the clock that nobody can set. */
  let open: OpenStation[] = [];
  let cancel: (() => void) | null = null;
  let fault: string | null = null;

  function look(): SteadyTime {
    time = lookAgain(time, { nowMs: given.now(), monoMs: timers.monoMs() });
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
