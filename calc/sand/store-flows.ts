import { at as checkedAt } from '../checked-entry.ts';
import type { SeedbedModel } from './seedbed-model.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/**
 * The flows of a planning model, mm/h, each a power of the filled part of one of its stores, with
 * their slopes by it: E s1^g, F1 s1^a1, R1 s1^b1; F2 s2^a2, R1 s2^b1, R2 s2^b2; F3 s3^a3, R2 s3^b2
 * (`stepSeedbed` tells the symbols).
 */
export interface StoreFlows {
  supply: number;
  dSupply: number;
  fall1: number;
  dFall1: number;
  down1: number;
  dDown1: number;
  fall2: number;
  dFall2: number;
  up1: number;
  dUp1: number;
  down2: number;
  dDown2: number;
  fall3: number;
  dFall3: number;
  up2: number;
  dUp2: number;
}

/** Works out the flows of these filled parts, above 0, into the object that it was made with. */
export type FlowsOf = (s1: number, s2: number, s3: number) => StoreFlows;

function noFlows(): StoreFlows {
  return {
    supply: 0,
    dSupply: 0,
    fall1: 0,
    dFall1: 0,
    down1: 0,
    dDown1: 0,
    fall2: 0,
    dFall2: 0,
    up1: 0,
    dUp1: 0,
    down2: 0,
    dDown2: 0,
    fall3: 0,
    dFall3: 0,
    up2: 0,
    dUp2: 0,
  };
}

/** The flows as the model has them. */
export function exactFlows(model: SeedbedModel): FlowsOf {
  const { seed, below, root, supplyMmPerH: E, supplyPower: g } = model;
  const flows = noFlows();
  return (s1, s2, s3) => {
    // s^a is exp(a ln s): the logarithm of a store serves all of its powers.
    const ln1 = Math.log(s1);
    const ln2 = Math.log(s2);
    const ln3 = Math.log(s3);
    flows.supply = E * Math.exp(g * ln1);
    flows.fall1 = seed.fallMmPerH * Math.exp(seed.fallPower * ln1);
    flows.down1 = seed.riseMmPerH * Math.exp(seed.risePower * ln1);
    flows.fall2 = below.fallMmPerH * Math.exp(below.fallPower * ln2);
    flows.up1 = seed.riseMmPerH * Math.exp(seed.risePower * ln2);
    flows.down2 = below.riseMmPerH * Math.exp(below.risePower * ln2);
    flows.fall3 = root.fallMmPerH * Math.exp(root.fallPower * ln3);
    flows.up2 = below.riseMmPerH * Math.exp(below.risePower * ln3);
    flows.dSupply = (g * flows.supply) / s1;
    flows.dFall1 = (seed.fallPower * flows.fall1) / s1;
    flows.dDown1 = (seed.risePower * flows.down1) / s1;
    flows.dFall2 = (below.fallPower * flows.fall2) / s2;
    flows.dUp1 = (seed.risePower * flows.up1) / s2;
    flows.dDown2 = (below.risePower * flows.down2) / s2;
    flows.dFall3 = (root.fallPower * flows.fall3) / s3;
    flows.dUp2 = (below.risePower * flows.up2) / s3;
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
    flows.supply = low + p1 * rise;
    flows.dSupply = rise * STEPS;
    low = at(fall1, i1);
    rise = at(fall1, i1 + 1) - low;
    flows.fall1 = low + p1 * rise;
    flows.dFall1 = rise * STEPS;
    low = at(rise1, i1);
    rise = at(rise1, i1 + 1) - low;
    flows.down1 = low + p1 * rise;
    flows.dDown1 = rise * STEPS;
    low = at(rise1, i2);
    rise = at(rise1, i2 + 1) - low;
    flows.up1 = low + p2 * rise;
    flows.dUp1 = rise * STEPS;
    low = at(fall2, i2);
    rise = at(fall2, i2 + 1) - low;
    flows.fall2 = low + p2 * rise;
    flows.dFall2 = rise * STEPS;
    low = at(rise2, i2);
    rise = at(rise2, i2 + 1) - low;
    flows.down2 = low + p2 * rise;
    flows.dDown2 = rise * STEPS;
    low = at(rise2, i3);
    rise = at(rise2, i3 + 1) - low;
    flows.up2 = low + p3 * rise;
    flows.dUp2 = rise * STEPS;
    low = at(fall3, i3);
    rise = at(fall3, i3 + 1) - low;
    flows.fall3 = low + p3 * rise;
    flows.dFall3 = rise * STEPS;
    return flows;
  };
}

function tableOf(full: number, power: number): Float64Array {
  return Float64Array.from({ length: LAST + 1 }, (_, step) => full * (step / STEPS) ** power);
}
