import { createHash } from 'node:crypto';
import type {
  Answer,
  ConfirmedPlan,
  FoundStop,
  Output,
  Wanted,
  Withdrawal,
} from '../../../adapters/contract.ts';
import { standingAfter } from '../../../adapters/outputs/order-document.ts';
import { standingRuns } from '../../../adapters/plan-document.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import type { Random } from './random.ts';

/** What a message meets on its way. */
export type Network = 'good' | 'lossy' | 'away' | 'refusing';

/** A run that the valves have begun. */
export interface BegunRun {
  run: Run;
  orderId: string;
}

/** What goes wrong at the far side by itself. */
export type Tampering = 'forgets' | 'older order put back' | 'forged order';

interface StandingOrder {
  orderId: string;
  /** Whether it came by itself and not from the daemon. */
  isStrange?: boolean;
  runs: readonly Run[];
  stop: FoundStop | null;
}

/**
 * The far end of an output: it obeys its newest order, takes one that stands already for a repeat,
 * and runs its valves.
 */
export interface Receiver extends Output {
  network: Network;
  /** Loses or changes what stands there, past everybody. */
  tamper(how: Tampering): void;
  /** Lets its own, true, time pass; gives what began meanwhile. */
  passTo(trueMs: number): BegunRun[];
  /** Runs that it would still begin. */
  toCome(): Run[];
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
  /** Orders of the store in the sequence in which they took effect for the first time. */
  const effects: string[] = [];
  let standing: StandingOrder | null = null;
  const former: StandingOrder[] = [];
  let passedMs = given.trueMs();

  const arrive = ({ orderId, runs, stop }: StandingOrder) => {
    const content = createHash('sha256').update(JSON.stringify(runs)).digest('hex');
    const isRepeat = standing?.orderId === orderId;
    told({ orderId, runs, isRepeat });
    if ((contents.get(orderId) ?? content) !== content) {
      broken(`${name}: order ${orderId} came again with other runs`);
    }
    if (isRepeat) return;
    contents.set(orderId, content);
    // Put right over something strange it may take effect again; over a newer one it never may.
    const isLate = effects.includes(orderId) && standing !== null && isOfStore(standing);
    if (isLate && effects.indexOf(orderId) < effects.indexOf(standing?.orderId ?? '')) {
      broken(`${name}: order ${orderId} came again over the newer ${standing?.orderId}`);
    }
    if (!effects.includes(orderId)) effects.push(orderId);
    if (standing !== null) former.push(standing);
    standing = { orderId, runs, stop };
  };
  const orderOf = (wanted: Wanted): StandingOrder => {
    const { orderId } = wanted;
    if (wanted.kind === 'deliver') {
      return { orderId, runs: standingRuns(wanted.confirmed), stop: null };
    }
    const { withdrawal } = wanted;
    const left = standingAfter(withdrawal);
    const { who, why, atMs } = withdrawal;
    const beds = withdrawal.beds === 'all' ? ('all' as const) : [...withdrawal.beds];
    const everything = left === null;
    return {
      orderId,
      runs: left === null ? [] : standingRuns(left),
      stop: { who, why, atMs, beds: everything ? 'all' : beds },
    };
  };
  const send = async (order: StandingOrder): Promise<Answer> => {
    switch (self.network) {
      case 'away':
        return { kind: 'unknown', detail: 'the receiver is away' };
      case 'refusing':
        return { kind: 'unknown', detail: 'the receiver has no room now' };
      case 'lossy': {
        const fate = random.weighted({ lost: 2, answerLost: 2, doubled: 1, well: 3 });
        if (fate !== 'lost') arrive(order);
        if (fate === 'doubled') arrive(order);
        return fate === 'lost' || fate === 'answerLost'
          ? { kind: 'unknown', detail: 'no answer came' }
          : { kind: 'accepted', detail: 'taken' };
      }
      case 'good':
        arrive(order);
        return { kind: 'accepted', detail: 'taken' };
    }
  };
  const self: Receiver = {
    name,
    network: 'good',
    start: async () => {},
    stop: async () => {},
    health: () => ({ ok: self.network === 'good', detail: self.network }),
    deliver: (orderId: string, confirmed: ConfirmedPlan) =>
      send(orderOf({ kind: 'deliver', orderId, confirmed })),
    withdraw: (orderId: string, withdrawal: Withdrawal) =>
      send(orderOf({ kind: 'withdraw', orderId, withdrawal })),
    async find(wanted) {
      if (self.network === 'away') return { kind: 'unseen', detail: 'the receiver is away' };
      if (standing === null) return { kind: 'nothing', detail: 'nothing stands' };
      const { orderId, runs, stop } = standing;
      const same = wanted === null ? null : orderOf(wanted);
      const isSame =
        same?.orderId === orderId && JSON.stringify(same.runs) === JSON.stringify(runs);
      if (isSame) return { kind: 'as_wanted' };
      const runsAhead = runs.filter((run) => run.startMs >= passedMs).length;
      return { kind: 'other', detail: `${orderId} stands`, order: { orderId, runsAhead, stop } };
    },
    tamper(how) {
      if (standing === null) return;
      former.push(standing);
      if (how === 'forgets') standing = null;
      if (how === 'older order put back') {
        const older = former[random.whole(0, former.length - 1)];
        if (older === undefined) return;
        standing = { ...older, isStrange: true };
      }
      if (how === 'forged order') {
        const runs = former.flatMap((order) => order.runs).slice(0, 4);
        const soonMs = given.trueMs() + 20 * 60_000;
        const shifted = runs.map((run, n) => ({ ...run, startMs: soonMs + n * 60_000 }));
        standing = { orderId: 'forged', runs: shifted, stop: null, isStrange: true };
      }
    },
    passTo(trueMs) {
      const fromMs = passedMs;
      passedMs = trueMs;
      const { orderId, runs } = standing ?? { orderId: '', runs: [] as readonly Run[] };
      return runs
        .filter((run) => run.startMs >= fromMs && run.startMs < trueMs)
        .map((run) => ({ run, orderId }));
    },
    toCome: () => (standing?.runs ?? []).filter((run) => run.startMs >= passedMs),
  };
  return self;
}

/** Whether an order stands because the store owed it, and not past the store. */
function isOfStore({ orderId, isStrange }: StandingOrder): boolean {
  return isStrange !== true && !/^(stop|unknown)-/.test(orderId);
}
