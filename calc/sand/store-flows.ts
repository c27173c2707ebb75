import { at as checkedAt } from '../checked-entry.ts';
import type { SeedbedModel, SeedbedSpell } from './seedbed-model.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/**
 * The flows of a planning model, mm/h, each a power of the filled part of one of its stores, with
 * their slopes by it: E s1^g, F1 s1^a1, R1 s1^b1; F2 s2^a2, R1 s2^b1, R2 s2^b2; F3 s3^a3, R2 s3^b2
 * (`stepSeedbed` tells the symbols).
 */
export interface StoreFlows {
  supplyMmPerH: number;
  supplySlopeMmPerH: number;
  fall1MmPerH: number;
  fall1SlopeMmPerH: number;
  down1MmPerH: number;
  down1SlopeMmPerH: number;
  fall2MmPerH: number;
  fall2SlopeMmPerH: number;
  up1MmPerH: number;
  up1SlopeMmPerH: number;
  down2MmPerH: number;
  down2SlopeMmPerH: number;
  fall3MmPerH: number;
  fall3SlopeMmPerH: number;
  up2MmPerH: number;
  up2SlopeMmPerH: number;
}

/** Works out the flows of these filled parts, above 0, into the object that it was made with. */
type FlowsOf = (s1: number, s2: number, s3: number) => StoreFlows;

function noFlows(): StoreFlows {
  return {
    supplyMmPerH: 0,
    supplySlopeMmPerH: 0,
    fall1MmPerH: 0,
    fall1SlopeMmPerH: 0,
    down1MmPerH: 0,
    down1SlopeMmPerH: 0,
    fall2MmPerH: 0,
    fall2SlopeMmPerH: 0,
    up1MmPerH: 0,
    up1SlopeMmPerH: 0,
    down2MmPerH: 0,
    down2SlopeMmPerH: 0,
    fall3MmPerH: 0,
    fall3SlopeMmPerH: 0,
    up2MmPerH: 0,
    up2SlopeMmPerH: 0,
  };
}

/** Steps of a table from an empty to a full store, and where it ends: beyond, on its last slope. */
const STEPS = 1024;
const LAST = 1536;

/**
 * The flows read off tables, on straight lines between 1/1024 of a store: within 0.1 % where a bed
 * dries, and several times as quick. For plans, which follow many sands through many days.
 */
export function tabulatedFlows(model: SeedbedModel): FlowsOf {
  const { seed, below, root, supplyMmPerH: E, supplyPower: g } = model;
  const supply = tableOf(E, g);
  const fall1 = tableOf(seed.fallMmPerH, seed.fallPower);
  // What falls back from the seed layer and what rises into it are one function of two stores.
  const rise1 = tableOf(seed.riseMmPerH, seed.risePower);
  const fall2 = tableOf(below.fallMmPerH, below.fallPower);
  const rise2 = tableOf(below.riseMmPerH, below.risePower);
  const fall3 = tableOf(root.fallMmPerH, root.fallPower);
  const flows = noFlows();
  return (s1, s2, s3) => {
    const x1 = s1 * STEPS;
    const i1 = x1 >= LAST ? LAST - 1 : Math.floor(x1);
    const p1 = x1 - i1;
    const x2 = s2 * STEPS;
    const i2 = x2 >= LAST ? LAST - 1 : Math.floor(x2);
    const p2 = x2 - i2;
    const x3 = s3 * STEPS;
    const i3 = x3 >= LAST ? LAST - 1 : Math.floor(x3);
    const p3 = x3 - i3;
    let low = at(supply, i1);
    let rise = at(supply, i1 + 1) - low;
    flows.supplyMmPerH = low + p1 * rise;
    flows.supplySlopeMmPerH = rise * STEPS;
    low = at(fall1, i1);
    rise = at(fall1, i1 + 1) - low;
    flows.fall1MmPerH = low + p1 * rise;
    flows.fall1SlopeMmPerH = rise * STEPS;
    low = at(rise1, i1);
    rise = at(rise1, i1 + 1) - low;
    flows.down1MmPerH = low + p1 * rise;
    flows.down1SlopeMmPerH = rise * STEPS;
    low = at(rise1, i2);
    rise = at(rise1, i2 + 1) - low;
    flows.up1MmPerH = low + p2 * rise;
    flows.up1SlopeMmPerH = rise * STEPS;
    low = at(fall2, i2);
    rise = at(fall2, i2 + 1) - low;
    flows.fall2MmPerH = low + p2 * rise;
    flows.fall2SlopeMmPerH = rise * STEPS;
    low = at(rise2, i2);
    rise = at(rise2, i2 + 1) - low;
    flows.down2MmPerH = low + p2 * rise;
    flows.down2SlopeMmPerH = rise * STEPS;
    low = at(rise2, i3);
    rise = at(rise2, i3 + 1) - low;
    flows.up2MmPerH = low + p3 * rise;
    flows.up2SlopeMmPerH = rise * STEPS;
    low = at(fall3, i3);
    rise = at(fall3, i3 + 1) - low;
    flows.fall3MmPerH = low + p3 * rise;
    flows.fall3SlopeMmPerH = rise * STEPS;
    return flows;
  };
}

function tableOf(full: number, power: number): Float64Array {
  return Float64Array.from({ length: LAST + 1 }, (_, step) => full * (step / STEPS) ** power);
}

/** Longest step of the implicit rule; longer spells are divided. */
const LONGEST_STEP_H = 1 / 12;
const LEAST_FILLED = 1e-9;
const CLOSE_ENOUGH_MM = 1e-10;
/** On a straight line between two steps of a table Newton's method is done at once. */
const NO_MORE_STRIDE = 1e-4;
/** Most that one iteration may fill a layer: a cloudburst on dry sand overshoots otherwise. */
const LONGEST_STRIDE = 0.5;

/**
 * The same step on states that stand in a row of numbers, three values each (seed layer, below, root
 * zone, mm above residual), so that many sands are followed through a day without an object for each:
 * see `stepSeedbed`, which tells the equations and checks what it is given; this does not. Apart from
 * it, since the models were found with its arithmetic to the last digit.
 *
 * @param rows states; that at `place.from` is read and that at `place.to` written, which may be the same
 * @param flowsOf read off the tables of this model
 * @returns what left the root zone, mm
 */
export function stepRow(
  model: SeedbedModel,
  flowsOf: FlowsOf,
  rows: Float64Array,
  place: { from: number; to: number },
  { waterMm, demandMm, hours }: SeedbedSpell,
): number {
  const steps = Math.max(1, Math.ceil(hours / LONGEST_STEP_H - 1e-9));
  const dt = hours / steps;
  const waterStepMm = waterMm / steps;
  const demandStepMm = demandMm / steps;
  const [P1, P2, P3] = [model.seed.poreMm, model.below.poreMm, model.root.poreMm];
  const { from, to } = place;
  let s1 = at(rows, from) / P1;
  let s2 = at(rows, from + 1) / P2;
  let s3 = at(rows, from + 2) / P3;
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
    let flows = flowsOf(s1, s2, s3);
    let isLimited = dt * flows.supplyMmPerH < demandStepMm;
    let isChecked = false;
    for (let iteration = 0; iteration < 80; iteration++) {
      // Over the step, mm.
      const supply = dt * flows.supplyMmPerH;
      e = isLimited ? supply : demandStepMm;
      const deds1 = isLimited ? dt * flows.supplySlopeMmPerH : 0;
      const q1 = dt * (flows.fall1MmPerH + flows.down1MmPerH - flows.up1MmPerH);
      const q2 = dt * (flows.fall2MmPerH + flows.down2MmPerH - flows.up2MmPerH);
      const q3 = dt * flows.fall3MmPerH;
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
      // Slopes of the flows: by the store that they leave, and, with the sign turned, by the one that
      // they enter.
      const dq1ds1 = dt * (flows.fall1SlopeMmPerH + flows.down1SlopeMmPerH);
      const dq1ds2 = dt * flows.up1SlopeMmPerH;
      const dq2ds2 = dt * (flows.fall2SlopeMmPerH + flows.down2SlopeMmPerH);
      const dq2ds3 = dt * flows.up2SlopeMmPerH;
      const dq3ds3 = dt * flows.fall3SlopeMmPerH;
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
        Math.abs(ds1) < NO_MORE_STRIDE * s1 &&
        Math.abs(ds2) < NO_MORE_STRIDE * s2 &&
        Math.abs(ds3) < NO_MORE_STRIDE * s3;
      s1 = Math.max(s1 + Math.min(ds1, LONGEST_STRIDE), s1 / 8);
      s2 = Math.max(s2 + Math.min(ds2, LONGEST_STRIDE), s2 / 8);
      s3 = Math.max(s3 + Math.min(ds3, LONGEST_STRIDE), s3 / 8);
      if (isLast) {
        e += deds1 * ds1;
        break;
      }
      flows = flowsOf(s1, s2, s3);
    }
    if (e > demandStepMm) e = demandStepMm;
    // The remainder closes the balance: it is the fall out of the root zone but for the last rounding.
    drainedMm += had1 + had2 + had3 - e - s1 * P1 - s2 * P2 - s3 * P3;
  }
  rows[to] = s1 * P1;
  rows[to + 1] = s2 * P2;
  rows[to + 2] = s3 * P3;
  return drainedMm;
}
