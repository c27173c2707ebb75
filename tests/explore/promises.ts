import { isLookedFor, isWanted } from '../../daemon/delivery/order-decisions.ts';
import { covers } from '../../daemon/site/store/holds-and-keep-offs.ts';
import { PHASES_MS } from './fixed-days.ts';
import { PROGRAM } from './rules.ts';
import { wantedOf } from './store-actions.ts';
import { NONE, runsAhead, textNo, textOf } from './wanted-pool.ts';
import { newestOwed, type Out, orderStateOf, PLACES, type World } from './world.ts';

/** What has to hold in every world, whatever is still on its way; what is broken, in words. */
export function brokenAlways(world: World): string[] {
  const broken = [...world.broken];
  world.media.forEach((medium, place) => {
    if (!medium.isStrange) broken.push(...unconfirmed(world, place));
  });
  return broken;
}

/** What has to hold once no round changes anything any more, with outputs that answer. */
export function brokenWhenQuiet(world: World): string[] {
  const broken = world.media.flatMap((_, place) => [
    ...unconfirmed(world, place),
    ...wateredUnderHold(world, place),
    ...wateredThoughTold(world, place),
  ]);
  for (const out of world.outs) broken.push(...notAsWanted(world, out));
  return broken;
}

/** Runs at a place that nobody has confirmed, or not for this place. */
function unconfirmed(world: World, place: number): string[] {
  const { standing } = world.media[place] ?? { standing: NONE };
  const ahead = runsAhead(standing, PHASES_MS[world.phase] ?? 0);
  if (ahead.length === 0) return [];
  const { wanted, orderId } = textNo(standing);
  const isForPlace = world.confirms.some(({ row: { confirmationId, stored } }) => {
    const remaining = wanted?.kind === 'withdraw' ? wanted.withdrawal.remaining : null;
    const confirmed = wanted?.kind === 'deliver' ? wanted.confirmed : remaining;
    if (confirmed?.digest !== stored.digest) return false;
    return world.outs.some(({ owed }) =>
      owed.some(
        ({ row }) =>
          row.kind === 'deliver' &&
          row.confirmationId === confirmationId &&
          row.toPlace === PLACES[place],
      ),
    );
  });
  if (isForPlace) return [];
  return [`${orderId} waters at ${PLACES[place]}, and nobody has confirmed that`];
}

/** Runs of beds under a hold that the store has and no confirm has lifted. */
function wateredUnderHold(world: World, place: number): string[] {
  const { standing } = world.media[place] ?? { standing: NONE };
  const ahead = runsAhead(standing, PHASES_MS[world.phase] ?? 0);
  return world.holds
    .filter((_, index) => world.lifted[index] === 0)
    .filter((hold) => ahead.some(({ bedId }) => covers(hold, bedId)))
    .map(
      ({ holdId }) => `${textNo(standing).orderId} waters at ${PLACES[place]} under hold ${holdId}`,
    );
}

/**
 * Runs of beds of which a person was told that they are stopped at this place, where nobody has
 * tampered with it since and no plan was confirmed that was made later.
 */
function wateredThoughTold(world: World, place: number): string[] {
  const { standing } = world.media[place] ?? { standing: NONE };
  const ahead = runsAhead(standing, PHASES_MS[world.phase] ?? 0);
  return world.stops
    .filter(({ asked, holdId, takenAt }) => {
      if (holdId !== null || !takenAt.includes(place)) return false;
      const isOutdated = world.confirms.some(
        ({ row }) => row.stored.plan.madeAtMs > asked.atMs || row.atMs > asked.atMs,
      );
      return !isOutdated && ahead.some(({ bedId }) => covers({ beds: bedsOf(asked.beds) }, bedId));
    })
    .map(
      () => `${textNo(standing).orderId} waters at ${PLACES[place]} though a stop was taken there`,
    );
}

function bedsOf(beds: 'all' | readonly string[]): 'all' | string[] {
  return beds === 'all' ? beds : [...beds];
}

/** What the store wants at an output has to stand there, and nothing may be left open. */
function notAsWanted(world: World, out: Out): string[] {
  if (out.isLeft) return [`${out.name}: is not known to be empty`];
  const newest = newestOwed(out);
  if (newest === null) return [];
  const atMs = PHASES_MS[world.phase] ?? 0;
  const order = orderStateOf(newest, atMs);
  const place = PLACES[out.place] ?? null;
  if (!isLookedFor(order, { place, keepsPastOrders: false, nowMs: atMs })) return [];
  const isOpen = newest.last === null || newest.last === 'unknown';
  if (isOpen && atMs < order.validUntilMs) return [`${out.name}: ${order.orderId} was never taken`];
  if (!isWanted(order, atMs)) return [];
  const wanted = wantedOf(world, out, newest.seq, PROGRAM);
  const standing = world.media[out.place]?.standing ?? NONE;
  if (wanted === null || textOf(wanted).no === standing) return [];
  const stands = standing === NONE ? 'nothing' : textNo(standing).orderId;
  return [`${out.name}: ${stands} stands where ${order.orderId} is wanted`];
}
