import { type ChildProcess, fork } from 'node:child_process';
import { setPriority } from 'node:os';
import type { AdapterLog } from '../../../adapters/contract.ts';
import { entryBeside, loaderFor } from '../../delivery/thread-entry.ts';
import { NotReckoned } from '../../planning/planning-context.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { QUESTION_RANKS } from './questions.ts';
import type { Reckoner } from './reckoner.ts';
import { stopping, turnQueue } from './turns.ts';
import { type FromBeside, fromWireError, type ToBeside } from './wire.ts';

/** A sand from a lab report takes a minute, and three where the machine is busy. */
const DEADLINE_MS = 4 * 60_000;
/** Nothing asked for so long, and the process is ended; an open page asks every minute. */
const IDLE_MS = 150_000;
/** The rest of what the unit allows is the daemon's own. */
const MAX_HEAP_MB = 256;
/** The daemon itself goes first where the processor is short. */
const NICENESS = 10;

/**
 * Answers in a process of its own, started with the first question and ended when nothing is asked
 * any more. It only reads the store, so it can be ended at any instant: after its deadline, when it
 * takes too much memory, and when the daemon stops. The next question starts another.
 *
 * A process and no thread: the database's driver takes the whole process down when a thread is
 * ended in one of its calls.
 */
export function reckonerBeside(given: {
  config: LoadedConfig;
  log: AdapterLog;
  deadlineMs?: number;
  idleMs?: number;
  /** What it runs; left out: this program's own. */
  entry?: string | URL;
}): Reckoner {
  const { log, deadlineMs = DEADLINE_MS, idleMs = IDLE_MS } = given;
  const entry = given.entry ?? entryBeside(import.meta.url, 'beside');
  const { clock: _, ...config } = given.config;
  const turns = turnQueue();
  let child: ChildProcess | null = null;
  let underWay: {
    askId: number;
    settle(answer: FromBeside): void;
    fail(error: NotReckoned): void;
  } | null = null;
  let lastAskId = 0;
  let idle: NodeJS.Timeout | undefined;

  /** Ends the process: it has nothing to lose. */
  function end(): void {
    clearTimeout(idle);
    const ended = child;
    child = null;
    ended?.removeAllListeners();
    // What is still on its way to a process that is gone is nobody's fault.
    ended?.on('error', () => undefined);
    ended?.kill('SIGKILL');
  }

  function started(): ChildProcess {
    if (child !== null) return child;
    const made = fork(entry, [], {
      execArgv: [...loaderFor(import.meta.url), `--max-old-space-size=${MAX_HEAP_MB}`],
      serialization: 'advanced',
      stdio: ['ignore', 'ignore', 'inherit', 'ipc'],
    });
    child = made;
    const gone = (how: string) => {
      if (child !== made) return;
      end();
      log.warn({ how }, 'reckoner: has ended unasked; the next question starts another');
      underWay?.fail(brokenOff(how));
    };
    made.on('message', (answer) => {
      if (child === made) underWay?.settle(answer as FromBeside);
    });
    made.once('error', (error) => gone(error.message));
    made.once('exit', (code, signal) => gone(signal ?? `exit code ${code}`));
    // It keeps no process up by itself.
    made.unref();
    made.channel?.unref();
    try {
      if (made.pid !== undefined) setPriority(made.pid, NICENESS);
    } catch {
      // Then it shares the processor as an equal.
    }
    tell(made, { kind: 'config', config });
    return made;
  }

  /** A fault on the way shows as the end of the process. */
  function tell(to: ChildProcess, what: ToBeside): void {
    to.send(what, (error) => {
      if (error !== null) to.kill('SIGKILL');
    });
  }

  function asked(question: keyof typeof QUESTION_RANKS, what: unknown): Promise<unknown> {
    clearTimeout(idle);
    const askId = ++lastAskId;
    return new Promise((resolve, reject) => {
      const done = () => {
        clearTimeout(late);
        underWay = null;
        idle = setTimeout(() => turns.isIdle() && end(), idleMs);
        idle.unref();
      };
      const late = setTimeout(() => {
        end();
        log.error({ question }, 'reckoner: took too long and was ended');
        underWay?.fail(tookTooLong(deadlineMs));
      }, deadlineMs);
      late.unref();
      underWay = {
        askId,
        settle(answer) {
          if (answer.askId !== askId) return;
          done();
          if (answer.kind === 'answer') resolve(answer.value);
          else reject(fromWireError(answer.error));
        },
        fail(error) {
          done();
          reject(error);
        },
      };
      try {
        tell(started(), { kind: 'ask', askId, question, asked: what });
      } catch (error) {
        underWay.fail(brokenOff(error instanceof Error ? error.message : String(error)));
      }
    });
  }

  return {
    ask: (question, what, asker) =>
      turns.take(
        {
          rank: QUESTION_RANKS[question],
          key: asker === undefined ? null : `${question} ${asker}`,
        },
        // The wire carries plain values: of which kind each answer is, the question's own type says.
        () => asked(question, what) as Promise<never>,
      ),
    stop() {
      turns.stop();
      end();
      underWay?.fail(stopping());
      clearTimeout(idle);
    },
  };
}

function brokenOff(how: string): NotReckoned {
  return new NotReckoned('not_reckoned', { key: 'not_reckoned.broken_off', values: { how } });
}

function tookTooLong(deadlineMs: number): NotReckoned {
  const values = { s: deadlineMs / 1000 };
  return new NotReckoned('not_reckoned', { key: 'not_reckoned.too_long', values });
}
