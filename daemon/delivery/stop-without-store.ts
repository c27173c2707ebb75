import type { AdapterLog, Answer, ConfirmedPlan, Output } from '../../adapters/contract.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { planInForce } from '../gate/gate.ts';
import type { Db } from '../store/database.ts';
import { within } from '../within.ts';
import { openOutputs } from './open-outputs.ts';

const PATIENCE_MS = 12_000;
const LOOK_AGAIN_MS = 300;
const OUTPUT_PATIENCE_MS = 3_000;
const SILENT: AdapterLog = { info: () => {}, warn: () => {}, error: () => {} };

/** What a person asked to stop. */
export interface AskedHold {
  who: string;
  why: string;
  beds: 'all' | string[];
  atMs: number;
  /** What still stands without the beds; null: nothing, or nobody can say. */
  remaining: ConfirmedPlan | null;
}

/**
 * Tells every output to stop when the store cannot remember the hold: on a full disk, a read-only
 * folder, a damaged database.
 *
 * A hold is written first and sent after, so that it outlives a power cut and every later plan
 * knows of it. Where it cannot be written, stopping still comes before remembering: the water is
 * what does harm. The price is told to the person: nothing remembers this hold, so it has to be put
 * on again once the store can be written, before any plan is confirmed. Where nobody can read what
 * is in force, everything is stopped, also for a hold on some beds: the drier reading is safe.
 */
export async function stopWithoutStore(
  outputs: ReadonlyMap<string, Output>,
  config: LoadedConfig,
  asked: AskedHold,
): Promise<Map<string, Answer>> {
  const answers = await Promise.all(
    [...outputs.values()].map(
      async (output) => [output.name, await withdraw(output, config, asked)] as const,
    ),
  );
  return new Map(answers);
}

/** The same from a process that has no outputs open: opens them for it, and closes them. */
export async function openAndStop(
  config: LoadedConfig,
  asked: AskedHold,
  now: () => number,
): Promise<Map<string, Answer>> {
  const outputs = await openOutputs(config, { now, log: SILENT, report: () => undefined });
  const all = [...outputs.values()];
  try {
    await within(Promise.allSettled(all.map((output) => output.start())), OUTPUT_PATIENCE_MS);
    return await stopWithoutStore(outputs, config, asked);
  } finally {
    await within(Promise.allSettled(all.map((output) => output.stop())), OUTPUT_PATIENCE_MS);
  }
}

/** What is in force, or null when that cannot be read. */
export function readableInForce(db: Db, nowMs: number): ConfirmedPlan | null {
  try {
    return planInForce(db, nowMs);
  } catch {
    return null;
  }
}

/**
 * What became of an unwritten hold, in words for the person who put it on.
 * @param keeper Who remembers it: a running daemon does, until it is stopped.
 */
export function sayUnwritten(
  fault: unknown,
  answers: ReadonlyMap<string, Answer>,
  keeper: 'nobody' | 'daemon',
): string {
  const message = fault instanceof Error ? fault.message : String(fault);
  const stopped = [...answers.values()].every(({ kind }) => kind === 'accepted');
  const reached = stopped
    ? 'the water is stopped, but'
    : 'NOT EVERY OUTPUT HAS TAKEN IT: close the valves by hand, and';
  const next =
    keeper === 'daemon'
      ? 'only this daemon remembers it: mend the store before the daemon is stopped'
      : 'nothing remembers it: mend the store and hold again before anything is confirmed';
  return `hold: could not be written (got ${message}); ${reached} ${next}`;
}

async function withdraw(output: Output, config: LoadedConfig, asked: AskedHold): Promise<Answer> {
  const { atMs, beds, who, why, remaining } = asked;
  let answer: Answer = { kind: 'unknown', detail: `no answer in ${PATIENCE_MS / 1000} s` };
  const ask = () =>
    output
      .withdraw(`hold-unwritten-${atMs}`, {
        siteId: config.site.id,
        siteDay: config.clock.siteDayOf(atMs),
        beds,
        who,
        why,
        atMs,
        remaining,
      })
      .catch((error: unknown): Answer => ({ kind: 'unknown', detail: String(error) }));
  const untilMs = performance.now() + PATIENCE_MS;
  for (;;) {
    const leftMs = untilMs - performance.now();
    if (leftMs <= 0) return answer;
    const got = await within(ask(), leftMs);
    if (!got.ended) return answer;
    answer = got.value;
    if (answer.kind !== 'unknown') return answer;
    await new Promise((resolve) => setTimeout(resolve, LOOK_AGAIN_MS));
  }
}
