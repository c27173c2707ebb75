import { createHash } from 'node:crypto';
import type { Answer, ConfirmedPlan, Output, Withdrawal } from '../../../adapters/contract.ts';
import { standingRuns } from '../../../adapters/standing-runs.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import type { Random } from './random.ts';

/** What a message meets on its way. */
export type Network = 'good' | 'lossy' | 'away' | 'refusing';

/** A run that the valves have begun. */
export interface BegunRun {
  run: Run;
  orderId: string;
}

/** The far end of an output: it obeys its newest order, takes an order id once, and runs its valves. */
export interface Receiver extends Output {
  network: Network;
  /** Lets its own, true, time pass; gives what began meanwhile. */
  passTo(trueMs: number): BegunRun[];
  /** Runs that it would still begin. */
  toCome(): Run[];
  /** Times that an order took effect, by order id. */
  readonly effects: ReadonlyMap<string, number>;
}

/**
 * A simulated receiver.
 *
 * @param told Hears of everything that reaches the receiver, before it is obeyed.
 */
export function receiver(given: {
  name: string;
  random: Random;
  trueMs(): number;
  told(message: { orderId: string; runs: readonly Run[]; isRepeat: boolean }): void;
  broken(what: string): void;
}): Receiver {
  const { name, random, told, broken } = given;
  const contents = new Map<string, string>();
  const effects = new Map<string, number>();
  let standing: { orderId: string; runs: readonly Run[] } | null = null;
  let passedMs = given.trueMs();

  const arrive = (orderId: string, confirmed: ConfirmedPlan | null) => {
    const runs = confirmed === null ? [] : standingRuns(confirmed);
    const content = createHash('sha256').update(JSON.stringify(runs)).digest('hex');
    const before = contents.get(orderId);
    told({ orderId, runs, isRepeat: before !== undefined });
    if (before !== undefined) {
      if (before !== content) broken(`${name}: order ${orderId} came again with other runs`);
      return;
    }
    contents.set(orderId, content);
    effects.set(orderId, (effects.get(orderId) ?? 0) + 1);
    standing = { orderId, runs };
  };
  const send = async (orderId: string, confirmed: ConfirmedPlan | null): Promise<Answer> => {
    switch (self.network) {
      case 'away':
        return { kind: 'unknown', detail: 'the receiver is away' };
      case 'refusing':
        return { kind: 'unknown', detail: 'the receiver has no room now' };
      case 'lossy': {
        const fate = random.weighted({ lost: 2, answerLost: 2, doubled: 1, well: 3 });
        if (fate !== 'lost') arrive(orderId, confirmed);
        if (fate === 'doubled') arrive(orderId, confirmed);
        return fate === 'lost' || fate === 'answerLost'
          ? { kind: 'unknown', detail: 'no answer came' }
          : { kind: 'accepted', detail: 'taken' };
      }
      case 'good':
        arrive(orderId, confirmed);
        return { kind: 'accepted', detail: 'taken' };
    }
  };
  const self: Receiver = {
    name,
    network: 'good',
    effects,
    start: async () => {},
    stop: async () => {},
    health: () => ({ ok: self.network === 'good', detail: self.network }),
    deliver: send,
    withdraw: (orderId: string, { remaining }: Withdrawal) => send(orderId, remaining),
    passTo(trueMs) {
      const fromMs = passedMs;
      passedMs = trueMs;
      const { orderId, runs } = standing ?? { orderId: '', runs: [] };
      return runs
        .filter((run) => run.startMs >= fromMs && run.startMs < trueMs)
        .map((run) => ({ run, orderId }));
    },
    toCome: () => (standing?.runs ?? []).filter((run) => run.startMs >= passedMs),
  };
  return self;
}
