import { at as checkedAt } from '../checked-entry.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/** What the flows of a planning model hang on: of each store the flow when full, and its power. */
interface FlowPowers {
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
export type FlowsOf = (s1: number, s2: number, s3: number) => StoreFlows;

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

/** The flows as the model has them. */
export function exactFlows(model: FlowPowers): FlowsOf {
  const { seed, below, root, supplyMmPerH: E, supplyPower: g } = model;
  const flows = noFlows();
  return (s1, s2, s3) => {
    // s^a is exp(a ln s): the logarithm of a store serves all of its powers.
    const ln1 = Math.log(s1);
    const ln2 = Math.log(s2);
    const ln3 = Math.log(s3);
    flows.supplyMmPerH = E * Math.exp(g * ln1);
    flows.fall1MmPerH = seed.fallMmPerH * Math.exp(seed.fallPower * ln1);
    flows.down1MmPerH = seed.riseMmPerH * Math.exp(seed.risePower * ln1);
    flows.fall2MmPerH = below.fallMmPerH * Math.exp(below.fallPower * ln2);
    flows.up1MmPerH = seed.riseMmPerH * Math.exp(seed.risePower * ln2);
    flows.down2MmPerH = below.riseMmPerH * Math.exp(below.risePower * ln2);
    flows.fall3MmPerH = root.fallMmPerH * Math.exp(root.fallPower * ln3);
    flows.up2MmPerH = below.riseMmPerH * Math.exp(below.risePower * ln3);
    flows.supplySlopeMmPerH = (g * flows.supplyMmPerH) / s1;
    flows.fall1SlopeMmPerH = (seed.fallPower * flows.fall1MmPerH) / s1;
    flows.down1SlopeMmPerH = (seed.risePower * flows.down1MmPerH) / s1;
    flows.fall2SlopeMmPerH = (below.fallPower * flows.fall2MmPerH) / s2;
    flows.up1SlopeMmPerH = (seed.risePower * flows.up1MmPerH) / s2;
    flows.down2SlopeMmPerH = (below.risePower * flows.down2MmPerH) / s2;
    flows.fall3SlopeMmPerH = (root.fallPower * flows.fall3MmPerH) / s3;
    flows.up2SlopeMmPerH = (below.risePower * flows.up2MmPerH) / s3;
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
