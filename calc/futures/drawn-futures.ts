import { entryOf } from '../checked-entry.ts';
import type { SandMember } from './sand-members.ts';

/** A future: which of the sands, and which of the weathers. */
export interface DrawnFuture {
  member: number;
  weather: number;
}

/**
 * Pairs sands and weathers into as many futures as there are weathers, all of the same weight.
 *
 * Sands are drawn by their weights at evenly spaced places of their order (systematic resampling), so
 * that a sand of weight 1/4 stands in a quarter of the futures, each time with another weather. The
 * weathers are dealt out by a lattice rule: along the order of the sands each keeps its place modulo
 * the count, times a factor that has no divisor in common with it, so that neither dry sands nor hot
 * days are met by one kind of the other alone.
 *
 * @param inOrder indices of the members from the soonest dry to the last
 * @param weathers how many, in their order from the greatest loss to the least; 1 or more
 * @throws RangeError when there is no member or no weather
 * Source: systematic resampling after Kitagawa 1996, J. Comput. Graph. Stat. 5:1-25; lattice rules
 *   after Korobov 1959 (both from memory).
 */
export function drawnFutures(
  members: readonly Pick<SandMember, 'weightFraction'>[],
  inOrder: readonly number[],
  weathers: number,
): DrawnFuture[] {
  if (members.length === 0 || !(weathers >= 1)) {
    throw new RangeError(
      `drawnFutures: needs sands and weathers (got ${members.length} and ${weathers}); give at least one of each`,
    );
  }
  const total = members.reduce((sum, one) => sum + one.weightFraction, 0);
  const factor = latticeFactor(weathers);
  const drawn: DrawnFuture[] = [];
  let place = 0;
  let reached = weightAt(members, inOrder, 0) / total;
  for (let k = 0; k < weathers; k++) {
    const wanted = (k + 0.5) / weathers;
    while (reached < wanted && place < inOrder.length - 1) {
      place++;
      reached += weightAt(members, inOrder, place) / total;
    }
    drawn.push({ member: entryOf(inOrder, place), weather: (factor * k + OFFSET) % weathers });
  }
  return drawn;
}

const OFFSET = 2;

function weightAt(
  members: readonly Pick<SandMember, 'weightFraction'>[],
  inOrder: readonly number[],
  place: number,
): number {
  return entryOf(members, entryOf(inOrder, place)).weightFraction;
}

/** The factor whose lattice leaves the widest gap between two futures. */
function latticeFactor(count: number): number {
  let best = 1;
  let widest = 0;
  for (let factor = 1; factor < count; factor++) {
    if (commonDivisor(factor, count) !== 1) continue;
    const gap = leastGap(factor, count);
    if (gap > widest) {
      widest = gap;
      best = factor;
    }
  }
  return best;
}

function leastGap(factor: number, count: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let k = 1; k < count; k++) {
    const turn = (factor * k) % count;
    least = Math.min(least, Math.hypot(Math.min(k, count - k), Math.min(turn, count - turn)));
  }
  return least;
}

function commonDivisor(a: number, b: number): number {
  return b === 0 ? a : commonDivisor(b, a % b);
}
