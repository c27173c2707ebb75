import type { Answer, StopNow } from '../../adapters/contract.ts';
import type { Hold } from '../../daemon/site/store/holds-and-keep-offs.ts';
import type { OrderState, OutboxOrder } from '../../daemon/site/store/outbox.ts';
import type { StoredConfirmation, StoredPlan } from '../../daemon/site/store/plans.ts';
import { type Keyed, PHASES_MS } from './fixed-days.ts';
import { NONE } from './wanted-pool.ts';

/** In a budget: as often as it likes. */
export const ANY = 9;

/** How often each thing may still happen. What is not counted here may happen any number of times. */
export interface Budget {
  plan: number;
  release: number;
  confirm: number;
  stopAll: number;
  stopBed: number;
  /** A stop of the other bed. */
  stopOther: number;
  reload: number;
  /** The daemon ends without a word: its memory is gone. */
  crash: number;
  noon: number;
  midnight: number;
  /** A medium forgets, has an older order put back, or a forged one. */
  tamper: number;
  /** The store refuses to be written for a while. */
  refusal: number;
  /** An output refuses a delivery for good. */
  reject: number;
  /** A write hangs on its way and comes after what was written later. */
  late: number;
  /** An output cannot be read for so long that it is written to all the same. */
  blind: number;
  /** What is waited for is given up while it is still on its way. */
  giveUp: number;
  /** An order or its answer is lost on the way. */
  loss: number;
}

/** An order as it is owed to one output. */
export interface OwedRow {
  row: OutboxOrder & { toPlace: string };
  seq: number;
  last: OrderState['lastAnswer'];
}

/** A stop as it was asked, with what is told of it. */
export interface Stop {
  asked: StopNow;
  /** The hold that the store has made of it; null: none yet. */
  holdId: number | null;
  /** Places that have taken it, and where nobody has tampered with that since. */
  takenAt: readonly number[];
}

/** Who waits for an answer, and what for. */
export type Asker =
  | { by: 'round'; seq: number }
  | { by: 'right'; seq: number }
  | { by: 'empty' }
  | { by: 'stop'; stop: number }
  | { by: 'left' };

/** An order that an output has been asked for and that has not come to its end. */
export interface Task {
  /** What is written. */
  text: number;
  kind: 'deliver' | 'withdraw';
  /** `cut`: a withdrawal has overtaken it under way; its asker has been told. */
  stage: 'queued' | 'out' | 'cut';
  askers: readonly Asker[];
}

/** A stop that an output goes on trying. */
export interface StopTry {
  stop: number;
  /** What goes on besides, as it was seen at the stop: the text of that order. */
  looked: number;
  isSeen: boolean;
  stage: 'asked' | 'waits';
}

/** A look at an output that has not been judged yet. */
export interface Look {
  /** The newest order when the look began; 0: none. */
  seq: number;
  /** What had come of that order then. */
  answer: OrderState['lastAnswer'];
  wanted: number;
  standing: number;
  /** What it was held against: the wanted order, or the stop that the store does not know of. */
  against: number;
  stage: 'judge' | 'acting';
}

/** One output as a running daemon has it, and what the store owes to it. */
export interface Out {
  name: string;
  place: number;
  /** No output of the config writes there any more: it is emptied. */
  isLeft: boolean;
  owed: readonly OwedRow[];
  lookedAt: boolean;
  /** The order that stands there by what was last asked. */
  last: number;
  stops: readonly number[];
  /** Stops that the store knows of, and that the output has not heard so of. */
  known: readonly number[];
  accepted: readonly string[];
  overtaken: readonly string[];
  tasks: readonly Task[];
  tries: readonly StopTry[];
  look: Look | null;
  /** An answer that the store has refused so far. */
  kept: { seq: number; answer: Answer['kind'] } | null;
}

/** What stands at a place, whoever looks after it. */
export interface Medium {
  standing: number;
  /** It came by itself: forged, put back, or late from a process that is gone. */
  isStrange: boolean;
  /** Writes of processes that are gone, which may still come. */
  late: readonly number[];
}

/** All that decides: the store's rows, the daemon's memory, the outputs, what stands out there. */
export interface World {
  phase: number;
  budget: Budget;
  plans: readonly Keyed<StoredPlan>[];
  confirms: readonly Keyed<StoredConfirmation>[];
  holds: readonly Hold[];
  /** The confirm that has lifted each hold; 0: none. */
  lifted: readonly number[];
  stops: readonly Stop[];
  /** The store refuses to be written now. */
  isFull: boolean;
  /** The last round found it so. */
  storeFault: boolean;
  /** Stops that were asked and that the store has not been offered yet. */
  toKeep: readonly number[];
  /** Stops that the store has refused so far. */
  unwritten: readonly number[];
  outs: readonly Out[];
  media: readonly Medium[];
  /** Promises that were broken on the way here. */
  broken: readonly string[];
  /** Its key, once that was worked out. */
  key?: string | undefined;
}

export const PLACES = ['place of A', 'place of B', 'new place of A'] as const;
export const NEW_PLACE = 2;

export function firstWorld(budget: Budget, outputs: 1 | 2): World {
  const names = ['A', 'B'].slice(0, outputs);
  return {
    phase: 0,
    budget,
    plans: [],
    confirms: [],
    holds: [],
    lifted: [],
    stops: [],
    isFull: false,
    storeFault: false,
    toKeep: [],
    unwritten: [],
    outs: names.map((name, place) => freshOut({ name, place, isLeft: false, owed: [] })),
    media: PLACES.map(() => ({ standing: NONE, isStrange: false, late: [] })),
    broken: [],
  };
}

/** An output of a daemon that has just started. */
export function freshOut(given: Pick<Out, 'name' | 'place' | 'isLeft' | 'owed'>): Out {
  return {
    ...given,
    lookedAt: false,
    last: NONE,
    stops: [],
    known: [],
    accepted: [],
    overtaken: [],
    tasks: [],
    tries: [],
    look: null,
    kept: null,
  };
}

/** A copy whose fields may be replaced; what lies in them is shared and is never changed. */
export function copyOf(world: World): Writable {
  return {
    ...world,
    key: undefined,
    budget: { ...world.budget },
    outs: world.outs.map((out) => ({ ...out })),
    media: world.media.map((medium) => ({ ...medium })),
  };
}

type Loose<T> = { -readonly [K in keyof T]: T[K] };
export type WritableOut = Loose<Out>;
export interface Writable extends Loose<Omit<World, 'outs' | 'media'>> {
  outs: WritableOut[];
  media: Loose<Medium>[];
}

/** The instant of the next thing that happens: later with every row, so that no two are the same. */
export function nowMs(world: Pick<World, 'phase' | 'plans' | 'confirms' | 'stops'>): number {
  const rows = world.plans.length + world.confirms.length + world.stops.length;
  return (PHASES_MS[world.phase] ?? 0) + rows * 60_000;
}

export function newestOwed(out: Pick<Out, 'owed'>): OwedRow | null {
  return out.owed.at(-1) ?? null;
}

/** An owed row as the store's queries give it: whatever has to be waited for has been waited for. */
export function orderStateOf({ row, last }: OwedRow, atMs: number): OrderState {
  const tried = last === null ? 0 : 1;
  return {
    ...row,
    attempts: tried,
    lastAttemptMs: tried === 0 ? null : atMs - 3_600_000,
    lastAnswer: last,
    lastDetail: '',
  };
}
