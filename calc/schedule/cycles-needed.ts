import { at as checkedAt, entryOf } from '../checked-entry.ts';
import { type BedBalance, stateOfStep, stepAt } from './bed-balance.ts';
import { bedFollower } from './bed-followed.ts';
import { STEP_MS } from './demand.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/** How many cycles one future of a bed needs. */
export interface CyclesNeeded {
  weightFraction: number;
  cycles: number;
}

/**
 * How many cycles each future of a bed needs by itself, from one instant to another, when each is given
 * at the last moment and all bring the same. Hours of water and other beds count for nothing here.
 *
 * @param balance With the water that stands already, and none of what is counted.
 * @param asked.partsMm What one cycle brings to each part, net, mm.
 * @param asked.apartMs Least time from one cycle's start to that of the next.
 */
export function cyclesNeeded(
  balance: BedBalance,
  asked: { fromMs: number; untilMs: number; partsMm: readonly number[]; apartMs: number },
): CyclesNeeded[] {
  const { futures, parts, follower, grid, riskFraction, irrigationMm } = balance;
  const first = stepAt(grid, asked.fromMs);
  const last = stepAt(grid, asked.untilMs);
  const start = stateOfStep(balance, first);
  const stepsApart = Math.max(1, Math.ceil(asked.apartMs / STEP_MS));
  return futures.map((future, k): CyclesNeeded => {
    const alone = bedFollower({ futures: [future], parts: parts.length, grid, riskFraction });
    const before = { rows: new Float64Array(alone.width), from: 0 };
    const after = { rows: new Float64Array(alone.width), from: 0 };
    const width = future.member.store.rows.names.length;
    for (const part of parts.keys()) {
      const own = start.from + follower.offsetOf(part, k);
      for (let i = 0; i < width; i++) {
        before.rows[alone.offsetOf(part, 0) + i] = at(start.rows, own + i);
      }
    }
    const givenMm = parts.map(() => 0);
    const follow = (step: number, share: number) => {
      for (const part of parts.keys()) {
        const standingMm = at(entryOf(irrigationMm, part), step);
        givenMm[part] = standingMm + share * (asked.partsMm[part] ?? 0);
      }
      alone.step(before, after, step, givenMm);
      return alone.margins(after, step + 1).middleMm;
    };
    let cycles = 0;
    let freeStep = first;
    for (let step = first; step < last; step++) {
      if (follow(step, 0) <= 0 && step >= freeStep) {
        follow(step, 1);
        cycles++;
        freeStep = step + stepsApart;
      }
      before.rows.set(after.rows);
    }
    return { weightFraction: future.weightFraction, cycles };
  });
}

/** Mean of the part of the futures that needs most, or least: so much of the weight, parts of 1. */
export function meanOfEnd(
  needed: readonly CyclesNeeded[],
  partFraction: number,
  end: 'most' | 'least',
): number {
  const inOrder = needed.toSorted((a, b) =>
    end === 'most' ? b.cycles - a.cycles : a.cycles - b.cycles,
  );
  const total = needed.reduce((sum, one) => sum + one.weightFraction, 0);
  let left = partFraction * total;
  let sum = 0;
  for (const { weightFraction, cycles } of inOrder) {
    const share = Math.min(left, weightFraction);
    sum += share * cycles;
    left -= share;
  }
  return total > 0 ? sum / (partFraction * total) : 0;
}
