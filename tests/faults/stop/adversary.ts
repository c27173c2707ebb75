import { retained } from '../../listener.ts';
import { type Measured, STOPPED_MS, type StopRig, stopRig, TOLD_MS, type Watched } from './rig.ts';

/** What an adversary gives: rows to print, and what was broken. */
export interface Tried {
  rows: { what: string; measured: Measured | null; note: string }[];
  broken: string[];
}

/** An adversary of the stop, named as it is printed. */
export interface Adversary {
  name: string;
  try(): Promise<Tried>;
}

/** Judges one stop that every watched output can be reached by. */
export function judged(what: string, measured: Measured, note = ''): Tried {
  const broken: string[] = [];
  if (measured.stoppedMs === null || measured.stoppedMs > STOPPED_MS) {
    broken.push(`${what}: runs were left after ${measured.stoppedMs ?? '10 s and more'} ms`);
  }
  if (measured.toldMs > TOLD_MS) broken.push(`${what}: told after ${measured.toldMs} ms`);
  return { rows: [{ what, measured, note }], broken };
}

/** The same, of a stop that came through and has to be told as well done. */
export function judgedWell(what: string, measured: Measured): Tried {
  const tried = judged(what, measured);
  if (!measured.isToldWell) tried.broken.push(`${what}: told otherwise: ${measured.said}`);
  return tried;
}

export function together(...tried: readonly Tried[]): Tried {
  return {
    rows: tried.flatMap(({ rows }) => rows),
    broken: tried.flatMap(({ broken }) => broken),
  };
}

export function fact(what: string, isSo: boolean, note = ''): Tried {
  return {
    rows: [{ what, measured: null, note: isSo ? note || 'so' : `NOT SO ${note}` }],
    broken: isSo ? [] : [`${what} ${note}`],
  };
}

export async function withRig(
  given: Parameters<typeof stopRig>[0],
  work: (rig: StopRig) => Promise<Tried>,
  start?: Parameters<StopRig['start']>[0],
): Promise<Tried> {
  const rig = await stopRig(given);
  try {
    await rig.start(start);
    await rig.confirmFresh();
    return await work(rig);
  } finally {
    await rig.end();
  }
}

/** Both ways to stop, each on a fresh plan, while something goes on. */
export async function bothWays(rig: StopRig, what: string): Promise<Tried> {
  const page = judgedWell(`${what}, page`, await rig.stopAtPage());
  await rig.confirmFresh();
  return together(page, judgedWell(`${what}, command`, await rig.stopByCommand()));
}

/** Where the plan in force stands at the broker. */
export const TOPIC = 'dewbeat/fen-edge/plan';

/** Seen through what a broker would hand to whoever comes now. */
export function brokerWatched(url: string): Watched {
  return {
    name: 'mqtt',
    async runs() {
      const found = await retained(url, TOPIC);
      return found === null ? null : (JSON.parse(found.text) as { runs: unknown[] }).runs.length;
    },
  };
}
