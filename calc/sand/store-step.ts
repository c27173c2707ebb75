import { at as checkedAt } from '../checked-entry.ts';
import type { FlowsOf } from './store-flows.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/** Longest step of the implicit rule; longer spells are divided. */
const LONGEST_STEP_H = 1 / 12;
const LEAST_FILLED = 1e-9;
const CLOSE_ENOUGH_MM = 1e-10;
/** Most that one iteration may fill a layer: a cloudburst on dry sand overshoots otherwise. */
const LONGEST_STRIDE = 0.5;

/** Places in the sums of a step. */
export const EVAPORATED = 0;
export const DRAINED = 1;
export const SUMS = 2;

/** How the flows are worked out, and after which change, of a layer's water, nothing is left to do. */
export interface StepRule {
  flowsOf: FlowsOf;
  noMoreFraction: number;
}

/**
 * One spell of the planning model on a state that stands in a row of numbers, three values (seed layer,
 * below, root zone, mm above residual), so that many sands are followed through a day without an object
 * for each: see `stepSeedbed`, which tells the equations and checks what it is given; this does not.
 *
 * @param rows states; that at `place.from` is read and that at `place.to` written, which may be the same
 * @param sums gets what evaporated and what left the root zone, mm
 */
export function stepRow(
  [P1, P2, P3]: readonly [number, number, number],
  { flowsOf, noMoreFraction }: StepRule,
  rows: Float64Array,
  { from, to }: { from: number; to: number },
  { waterMm, demandMm, hours }: { waterMm: number; demandMm: number; hours: number },
  sums: Float64Array,
): void {
  const steps = Math.max(1, Math.ceil(hours / LONGEST_STEP_H - 1e-9));
  const dt = hours / steps;
  const waterStepMm = waterMm / steps;
  const demandStepMm = demandMm / steps;
  let s1 = at(rows, from) / P1;
  let s2 = at(rows, from + 1) / P2;
  let s3 = at(rows, from + 2) / P3;
  let evaporatedMm = 0;
  let drainedMm = 0;
  for (let step = 0; step < steps; step++) {
    const had1 = s1 * P1 + waterStepMm;
    const had2 = s2 * P2;
    const had3 = s3 * P3;
    let e = 0;
    if (s1 < LEAST_FILLED) s1 = LEAST_FILLED;
    if (s2 < LEAST_FILLED) s2 = LEAST_FILLED;
    if (s3 < LEAST_FILLED) s3 = LEAST_FILLED;
    // The demand is met, or it is not: one of the two gives a state that agrees with itself. Which is
    // guessed and checked at the end, because Newton's method can cycle about the corner between.
    let flows = flowsOf(s1, s2, s3, dt);
    let isLimited = flows.supplyMm < demandStepMm;
    let isChecked = false;
    for (let iteration = 0; iteration < 80; iteration++) {
      const { supplyMm: supply, q1Mm: q1, q2Mm: q2, q3Mm: q3 } = flows;
      e = isLimited ? supply : demandStepMm;
      const deds1 = isLimited ? flows.deds1Mm : 0;
      // What each balance misses, mm: 0 where the step is solved.
      const r1 = had1 - e - q1 - s1 * P1;
      const r2 = had2 + q1 - q2 - s2 * P2;
      const r3 = had3 + q2 - q3 - s3 * P3;
      if (
        Math.abs(r1) < CLOSE_ENOUGH_MM &&
        Math.abs(r2) < CLOSE_ENOUGH_MM &&
        Math.abs(r3) < CLOSE_ENOUGH_MM
      ) {
        if (isChecked || isLimited === supply < demandStepMm) break;
        isLimited = !isLimited;
        isChecked = true;
        continue;
      }
      const { dq1ds1Mm: dq1ds1, dq1ds2Mm: dq1ds2, dq3ds3Mm: dq3ds3 } = flows;
      const { dq2ds2Mm: dq2ds2, dq2ds3Mm: dq2ds3 } = flows;
      // Newton: the tridiagonal system J ds = r, eliminated downward and solved upward.
      const pivot1 = P1 + deds1 + dq1ds1;
      const factor1 = dq1ds1 / pivot1;
      const pivot2 = P2 + dq1ds2 + dq2ds2 - factor1 * dq1ds2;
      const right2 = r2 + factor1 * r1;
      const factor2 = dq2ds2 / pivot2;
      const pivot3 = P3 + dq2ds3 + dq3ds3 - factor2 * dq2ds3;
      const ds3 = (r3 + factor2 * right2) / pivot3;
      const ds2 = (right2 + dq2ds3 * ds3) / pivot2;
      const ds1 = (r1 + dq1ds2 * ds2) / pivot1;
      if (!isLimited && s1 + ds1 < LEAST_FILLED) isLimited = true;
      const isLast =
        (isChecked || isLimited === supply < demandStepMm) &&
        Math.abs(ds1) < noMoreFraction * s1 &&
        Math.abs(ds2) < noMoreFraction * s2 &&
        Math.abs(ds3) < noMoreFraction * s3;
      s1 = Math.max(s1 + Math.min(ds1, LONGEST_STRIDE), s1 / 8);
      s2 = Math.max(s2 + Math.min(ds2, LONGEST_STRIDE), s2 / 8);
      s3 = Math.max(s3 + Math.min(ds3, LONGEST_STRIDE), s3 / 8);
      if (isLast) {
        e += deds1 * ds1;
        break;
      }
      flows = flowsOf(s1, s2, s3, dt);
    }
    if (e > demandStepMm) e = demandStepMm;
    evaporatedMm += e;
    // The remainder closes the balance: it is the fall out of the root zone but for the last rounding.
    drainedMm += had1 + had2 + had3 - e - s1 * P1 - s2 * P2 - s3 * P3;
  }
  rows[to] = s1 * P1;
  rows[to + 1] = s2 * P2;
  rows[to + 2] = s3 * P3;
  sums[EVAPORATED] = evaporatedMm;
  sums[DRAINED] = drainedMm;
}
