import { orderToReadBack, withStop } from '../../adapters/outputs/stoppable.ts';
import { leavesWater, waits } from '../../daemon/delivery/deliver-outbox.ts';
import { isLookedFor, judgeFound, nextStep } from '../../daemon/delivery/order-decisions.ts';
import { CLOCK, PHASES_MS, SITE_ID, WHO } from './fixed-days.ts';
import { ask, sendStop, stopsOf, writeAnswer } from './out-steps.ts';
import type { Rules } from './rules.ts';
import { addHold, wantedOf } from './store-actions.ts';
import { foundAt, NONE, textNo, textOf, wantedNo } from './wanted-pool.ts';
import {
  freshOut,
  NEW_PLACE,
  newestOwed,
  nowMs,
  orderStateOf,
  PLACES,
  type Writable,
  type WritableOut,
} from './world.ts';

const DAY_MS = 24 * 3_600_000;

/** A person stops water: every output hears of it first, the store after that. */
export function askStop(world: Writable, beds: 'all' | string[], rules: Rules): void {
  const atMs = nowMs(world);
  const asked = { stopNo: atMs, beds, who: WHO, why: 'stopped', atMs };
  const stop = world.stops.length;
  world.stops = [...world.stops, { asked, holdId: null, takenAt: [] }];
  world.toKeep = [...world.toKeep, stop];
  for (const out of [...world.outs]) {
    if (!out.lookedAt) forgetUnlooked(world, out);
    const kept = withStop(stopsOf(world, out), asked);
    if (kept.length === out.stops.length + 1) out.stops = [...out.stops, stop];
    const looked = orderToReadBack(wantedNo(out.last), kept) === null ? NONE : out.last;
    const standing = world.media[out.place]?.standing ?? NONE;
    const isSeen = looked !== NONE && foundAt(standing, looked, world.phase).kind === 'as_wanted';
    if (looked !== NONE && !isSeen) forget(out, looked);
    out.tries = [...out.tries, { stop, looked: isSeen ? looked : NONE, isSeen, stage: 'waits' }];
    sendStop(world, out, { stop, rules });
  }
}

/**
 * A stop that comes before a daemon that has just started has looked takes the place of one that only
 * the receiver still knew of: nobody is left who could know that one. It is a limit of the program.
 */
function forgetUnlooked(world: Writable, out: WritableOut): void {
  const knownOf = [...world.toKeep, ...world.unwritten];
  world.stops = world.stops.map((stop, index) =>
    stop.holdId === null && !knownOf.includes(index)
      ? { ...stop, takenAt: stop.takenAt.filter((place) => place !== out.place) }
      : stop,
  );
}

/** The store is told of a stop, behind those that it has refused. */
export function keepStop(world: Writable): void {
  const [stop] = world.toKeep;
  if (stop === undefined) return;
  world.toKeep = world.toKeep.slice(1);
  world.unwritten = [...world.unwritten, stop];
  writeHolds(world);
}

function writeHolds(world: Writable): void {
  if (world.isFull) return;
  const written = world.unwritten;
  world.unwritten = [];
  for (const index of written) {
    const asked = world.stops[index]?.asked;
    if (asked === undefined) continue;
    const { who, why, beds, atMs } = asked;
    const holdId = addHold(world, { who, why, atMs, beds: beds === 'all' ? beds : [...beds] });
    world.stops = world.stops.map((stop, at) => (at === index ? { ...stop, holdId } : stop));
    for (const out of world.outs) {
      if (!out.isLeft) out.known = [...out.known, index];
    }
  }
}

/** An output hears that the store knows of its stops. */
export function hearKnown(out: WritableOut): void {
  const last = Math.max(...out.known);
  out.known = [];
  out.stops = out.stops.filter((stop) => stop > last);
}

/** A round of deliveries, as far as it concerns one output. */
export function round(world: Writable, out: WritableOut, rules: Rules): void {
  offerAgain(world, rules);
  const atMs = nowMs(world);
  const newest = newestOwed(out);
  if (newest === null) return;
  for (const owed of rules.supersedes ? [newest] : out.owed.toReversed()) {
    const order = orderStateOf(owed, atMs);
    const isOpen = owed.last === null || owed.last === 'unknown';
    const isUnderWay = out.tasks.some(({ askers }) =>
      askers.some((asker) => asker.by === 'round' && asker.seq === owed.seq),
    );
    if (!isOpen || isUnderWay) continue;
    const { kept } = out;
    const facts = {
      isStoreWell: !world.storeFault,
      isLookedAt: out.lookedAt,
      waters: out.lookedAt || leavesWater(wantedOf(world, out, owed.seq, rules)),
      unwritten:
        kept?.seq === owed.seq
          ? { order, answer: { kind: kept.answer, detail: '' }, atMs: atMs - 3_600_000 }
          : null,
    };
    if (waits(order, facts, atMs)) continue;
    const step = nextStep(order, {
      newestOrderId: rules.supersedes ? newest.row.orderId : order.orderId,
      place: rules.knowsPlaces ? (PLACES[out.place] ?? null) : null,
      nowMs: atMs,
    });
    if (step.do === 'end' && !world.storeFault) {
      out.owed = out.owed.map((one) => (one === owed ? { ...one, last: step.as } : one));
    }
    if (step.do !== 'send') continue;
    const wanted = wantedOf(world, out, owed.seq, rules);
    if (wanted === null) {
      if (!world.isFull) writeAnswer(out, owed.seq, 'rejected', rules);
      continue;
    }
    const asker = { by: 'round', seq: owed.seq } as const;
    ask(world, out, { text: textOf(wanted).no, kind: order.kind, asker }, rules);
  }
}

/** What the store has refused is offered to it once more. */
function offerAgain(world: Writable, rules: Rules): void {
  const isAny = world.unwritten.length > 0 || world.outs.some(({ kept }) => kept !== null);
  world.storeFault = world.isFull && isAny;
  if (world.isFull) return;
  writeHolds(world);
  for (const out of world.outs) {
    if (out.kept === null) continue;
    writeAnswer(out, out.kept.seq, out.kept.answer, rules);
    out.kept = null;
  }
}

/** What stands at an output is read; it is judged later. */
export function look(world: Writable, out: WritableOut, rules: Rules): void {
  if (!rules.readsBack) {
    out.lookedAt = true;
    return;
  }
  const newest = newestOwed(out);
  const facts = {
    place: rules.knowsPlaces ? (PLACES[out.place] ?? null) : null,
    keepsPastOrders: false,
    nowMs: nowMs(world),
  };
  const isWantedHere = newest !== null && isLookedFor(orderStateOf(newest, facts.nowMs), facts);
  const wanted = isWantedHere ? wantedOf(world, out, newest.seq, rules) : null;
  const text = wanted === null ? NONE : textOf(wanted).no;
  const standing = world.media[out.place]?.standing ?? NONE;
  const isStopped = out.stops.length > 0 && out.last !== NONE;
  const against = isStopped ? out.last : text;
  const found = foundAt(standing, against, world.phase);
  if (against !== NONE && found.kind !== 'as_wanted') forget(out, against);
  if (!isStopped && text !== NONE && found.kind === 'as_wanted') out.last = text;
  out.look = {
    seq: newest?.seq ?? 0,
    answer: newest?.last ?? null,
    wanted: text,
    standing,
    against,
    stage: 'judge',
  };
}

/** What was read is judged, and what is to be done about it is asked. */
export function judgeLook(world: Writable, out: WritableOut, rules: Rules): void {
  const { look: seen } = out;
  if (seen === null) return;
  out.look = null;
  const atMs = nowMs(world);
  const owed = out.owed[seen.seq - 1];
  const step = judgeFound({
    order:
      seen.wanted === NONE || owed === undefined
        ? null
        : orderStateOf({ ...owed, last: seen.answer }, atMs),
    found: foundAt(seen.standing, seen.against, world.phase),
    keepsPastOrders: false,
    knowsStop: (stop) =>
      world.holds.some(({ who, atMs }) => who === stop.who && atMs === stop.atMs),
    isOfStore: (orderId) => isOwedSinceStops(out, orderId),
    nowMs: PHASES_MS[world.phase] ?? 0,
  });
  if (step.do !== 'take_stop') out.lookedAt = true;
  if (step.do === 'nothing' || step.do === 'tell') return;
  if ((newestOwed(out)?.seq ?? 0) !== seen.seq) return;
  switch (step.do) {
    case 'take_stop': {
      if (world.isFull) return;
      const { who, why, beds } = step.stop;
      const stopMs = Math.min(step.stop.atMs, atMs);
      const holdId = addHold(world, { who, why, beds, atMs: stopMs });
      world.stops = world.stops.map((stop) =>
        stop.asked.atMs === stopMs && stop.holdId === null ? { ...stop, holdId } : stop,
      );
      out.lookedAt = true;
      return;
    }
    case 'put_right': {
      const wanted = wantedNo(seen.wanted);
      if (wanted === null) return;
      const mayWater = !world.storeFault && world.unwritten.length === 0;
      if (wanted.kind === 'deliver' && !mayWater) return;
      out.look = { ...seen, stage: 'acting' };
      const asker = { by: 'right', seq: seen.seq } as const;
      ask(world, out, { text: seen.wanted, kind: wanted.kind, asker }, rules);
      return;
    }
    case 'empty':
      out.look = { ...seen, stage: 'acting' };
      empty(world, out, { orderId: `unknown-${atMs}`, atMs, by: 'empty' }, rules);
  }
}

/** Takes away whatever stands at a place that no output of the config writes to any more. */
export function emptyLeft(world: Writable, out: WritableOut, rules: Rules): void {
  const atMs = nowMs(world);
  empty(world, out, { orderId: 'left-1', atMs: atMs - (atMs % DAY_MS), by: 'left' }, rules);
}

function empty(
  world: Writable,
  out: WritableOut,
  { orderId, atMs, by }: { orderId: string; atMs: number; by: 'empty' | 'left' },
  rules: Rules,
): void {
  const siteDay = CLOCK.siteDayOf(atMs);
  const withdrawal = {
    siteId: SITE_ID,
    siteDay,
    beds: 'all' as const,
    who: 'dewbeat',
    why: by,
    atMs,
    remaining: null,
  };
  const text = textOf({ kind: 'withdraw', orderId, withdrawal }).no;
  ask(world, out, { text, kind: 'withdraw', asker: { by } }, rules);
}

/** The daemon is gone and starts again: what it knew is lost, what it had asked may still come. */
export function crash(world: Writable): void {
  world.toKeep = [];
  world.unwritten = [];
  startAnew(world);
}

/** The config is read again, and the first output writes to another place from here on. */
export function moveFirstOutput(world: Writable): void {
  const before = world.outs[0];
  startAnew(world);
  const [first] = world.outs;
  if (first === undefined || before === undefined) return;
  const left = freshOut({
    name: `${first.name} as it was`,
    place: before.place,
    isLeft: true,
    owed: [],
  });
  first.place = NEW_PLACE;
  world.outs = [...world.outs, left];
}

function startAnew(world: Writable): void {
  world.storeFault = false;
  for (const out of world.outs) {
    const medium = world.media[out.place];
    if (medium === undefined || world.budget.late === 0) continue;
    const under = out.tasks.flatMap(({ stage, text }) => (stage === 'queued' ? [] : [text]));
    medium.late = [...new Set([...medium.late, ...under])];
  }
  world.outs = world.outs.map(({ name, place, isLeft, owed }) =>
    freshOut({ name, place, isLeft, owed }),
  );
}

/** The query of the store of the same name. */
function isOwedSinceStops(out: WritableOut, orderId: string): boolean {
  const owed = out.owed.find(({ row }) => row.orderId === orderId);
  return owed !== undefined && !out.owed.slice(owed.seq).some(({ row }) => row.kind === 'withdraw');
}

/** Lets an order take effect once more: it was found not to stand. */
function forget(out: WritableOut, text: number): void {
  const { orderId } = textNo(text);
  out.accepted = out.accepted.filter((one) => one !== orderId);
}
