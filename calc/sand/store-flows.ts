import { at as checkedAt } from '../checked-entry.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/** What the flows of a planning model hang on: of each store the flow when full, and its power. */
export interface FlowPowers {
  seed: LayerPowers;
  below: LayerPowers;
  root: LayerPowers;
  supplyMmPerH: number;
  supplyPower: number;
}

interface LayerPowers {
  fallMmPerH: number;
  fallPower: number;
  riseMmPerH: number;
  risePower: number;
}

/**
 * What flows between the stores of a planning model over a step, mm, and the slopes by their filled
 * parts: the supply e = E s1^g to the air; out of the seed layer q1 = F1 s1^a1 + R1 (s1^b1 - s2^b1), out
 * of the layer below q2 = F2 s2^a2 + R2 (s2^b2 - s3^b2), out of the root zone q3 = F3 s3^a3 (see
 * `stepSeedbed`). Slopes by the store that a flow enters stand with the sign turned.
 */
export interface StepFlows {
  supplyMm: number;
  deds1Mm: number;
  q1Mm: number;
  dq1ds1Mm: number;
  dq1ds2Mm: number;
  q2Mm: number;
  dq2ds2Mm: number;
  dq2ds3Mm: number;
  q3Mm: number;
  dq3ds3Mm: number;
}

/** Works out the flows over `dt` hours at these filled parts, above 0, into the object that it was made with. */
export type FlowsOf = (s1: number, s2: number, s3: number, dt: number) => StepFlows;

function noFlows(): StepFlows {
  return {
    supplyMm: 0,
    deds1Mm: 0,
    q1Mm: 0,
    dq1ds1Mm: 0,
    dq1ds2Mm: 0,
    q2Mm: 0,
    dq2ds2Mm: 0,
    dq2ds3Mm: 0,
    q3Mm: 0,
    dq3ds3Mm: 0,
  };
}

/** The flows as the model has them. */
export function exactFlows(model: FlowPowers): FlowsOf {
  const { seed, below, root, supplyPower: g } = model;
  const [a1, a2, a3] = [seed.fallPower, below.fallPower, root.fallPower];
  const [b1, b2] = [seed.risePower, below.risePower];
  const flows = noFlows();
  return (s1, s2, s3, dt) => {
    // s^a is exp(a ln s): the logarithm of a store serves all of its powers.
    const ln1 = Math.log(s1);
    const ln2 = Math.log(s2);
    const ln3 = Math.log(s3);
    // Flows of full stores over the step come first: models were found with this order of rounding.
    const R1 = seed.riseMmPerH * dt;
    const R2 = below.riseMmPerH * dt;
    const fall1 = seed.fallMmPerH * dt * Math.exp(a1 * ln1);
    const fall2 = below.fallMmPerH * dt * Math.exp(a2 * ln2);
    const q3 = root.fallMmPerH * dt * Math.exp(a3 * ln3);
    const down1 = R1 * Math.exp(b1 * ln1);
    const up1 = R1 * Math.exp(b1 * ln2);
    const down2 = R2 * Math.exp(b2 * ln2);
    const up2 = R2 * Math.exp(b2 * ln3);
    const supply = model.supplyMmPerH * dt * Math.exp(g * ln1);
    flows.supplyMm = supply;
    flows.deds1Mm = (g * supply) / s1;
    flows.q1Mm = fall1 + down1 - up1;
    flows.dq1ds1Mm = (a1 * fall1 + b1 * down1) / s1;
    flows.dq1ds2Mm = (b1 * up1) / s2;
    flows.q2Mm = fall2 + down2 - up2;
    flows.dq2ds2Mm = (a2 * fall2 + b2 * down2) / s2;
    flows.dq2ds3Mm = (b2 * up2) / s3;
    flows.q3Mm = q3;
    flows.dq3ds3Mm = (a3 * q3) / s3;
    return flows;
  };
}

/** Steps of a table from an empty to a full store, and where it ends: beyond, on its last slope. */
const STEPS = 1024;
const LAST = 1536;

/**
 * The same read off tables, on straight lines between 1/1024 of a store: within 0.1 % where a bed
 * dries, and several times as quick. For plans, which follow many sands through many days.
 */
export function tabulatedFlows(model: FlowPowers): FlowsOf {
  const { seed, below, root, supplyMmPerH: E, supplyPower: g } = model;
  const supply = tableOf(E, g);
  const fall1 = tableOf(seed.fallMmPerH, seed.fallPower);
  // What falls back from the seed layer and what rises into it are one function of two stores.
  const rise1 = tableOf(seed.riseMmPerH, seed.risePower);
  const fall2 = tableOf(below.fallMmPerH, below.fallPower);
  const rise2 = tableOf(below.riseMmPerH, below.risePower);
  const fall3 = tableOf(root.fallMmPerH, root.fallPower);
  const flows = noFlows();
  return (s1, s2, s3, dt) => {
    const x1 = s1 * STEPS;
    const i1 = x1 >= LAST ? LAST - 1 : Math.floor(x1);
    const p1 = x1 - i1;
    const x2 = s2 * STEPS;
    const i2 = x2 >= LAST ? LAST - 1 : Math.floor(x2);
    const p2 = x2 - i2;
    const x3 = s3 * STEPS;
    const i3 = x3 >= LAST ? LAST - 1 : Math.floor(x3);
    const p3 = x3 - i3;
    const supplied = at(supply, i1);
    const supplyRise = at(supply, i1 + 1) - supplied;
    const fell1 = at(fall1, i1);
    const fall1Rise = at(fall1, i1 + 1) - fell1;
    const down1 = at(rise1, i1);
    const down1Rise = at(rise1, i1 + 1) - down1;
    const up1 = at(rise1, i2);
    const up1Rise = at(rise1, i2 + 1) - up1;
    const fell2 = at(fall2, i2);
    const fall2Rise = at(fall2, i2 + 1) - fell2;
    const down2 = at(rise2, i2);
    const down2Rise = at(rise2, i2 + 1) - down2;
    const up2 = at(rise2, i3);
    const up2Rise = at(rise2, i3 + 1) - up2;
    const fell3 = at(fall3, i3);
    const fall3Rise = at(fall3, i3 + 1) - fell3;
    flows.supplyMm = dt * (supplied + p1 * supplyRise);
    flows.deds1Mm = dt * (supplyRise * STEPS);
    flows.q1Mm = dt * (fell1 + p1 * fall1Rise + (down1 + p1 * down1Rise) - (up1 + p2 * up1Rise));
    flows.dq1ds1Mm = dt * (fall1Rise * STEPS + down1Rise * STEPS);
    flows.dq1ds2Mm = dt * (up1Rise * STEPS);
    flows.q2Mm = dt * (fell2 + p2 * fall2Rise + (down2 + p2 * down2Rise) - (up2 + p3 * up2Rise));
    flows.dq2ds2Mm = dt * (fall2Rise * STEPS + down2Rise * STEPS);
    flows.dq2ds3Mm = dt * (up2Rise * STEPS);
    flows.q3Mm = dt * (fell3 + p3 * fall3Rise);
    flows.dq3ds3Mm = dt * (fall3Rise * STEPS);
    return flows;
  };
}

function tableOf(full: number, power: number): Float64Array {
  return Float64Array.from({ length: LAST + 1 }, (_, step) => full * (step / STEPS) ** power);
}
