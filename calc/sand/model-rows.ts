import { at as checkedAt } from '../checked-entry.ts';
import { limitsOfRoots, type RootLimits } from './seedbed-dynamics.ts';
import { dryLimitMm, poresOf, type SeedbedModel, WET_SURFACE_FRACTION } from './seedbed-model.ts';
import type { StoreRows } from './seedbed-store.ts';
import { tabulatedFlows } from './store-flows.ts';
import { DRAINED, SUMS, stepRow } from './store-step.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/**
 * A sand's model on states in a row of numbers: mm above residual of the seed layer, the sand below
 * and the root zone. The flows come off tables; `seedbed-dynamics.ts` does the same exactly.
 *
 * @param rootsMm Depth that roots reach, mm; 0: only the surface counts.
 */
export function modelRows(model: SeedbedModel, rootsMm: number): StoreRows {
  const bare = bareOf.get(model) ?? bareRows(model);
  bareOf.set(model, bare);
  return rootsMm > 0 ? withRoots(bare, model, limitsOfRoots(model, rootsMm)) : bare;
}

/** On a straight line between two steps of a table Newton's method is done at once. */
const NO_MORE_FRACTION = 1e-4;

/** Tables take a while to make and hold nothing of a bed: all depths of roots share them. */
const bareOf = new WeakMap<SeedbedModel, StoreRows>();

function bareRows(model: SeedbedModel): StoreRows {
  const pores = poresOf(model);
  const rule = { flowsOf: tabulatedFlows(model), noMoreFraction: NO_MORE_FRACTION };
  const sums = new Float64Array(SUMS);
  const spell = { waterMm: 0, demandMm: 0, hours: 0 };
  return {
    names: ['seedMm', 'belowMm', 'rootMm'],
    step(rows, place, { waterMm, demandMm, hours }) {
      // Dew is water: the model knows no negative demand.
      spell.waterMm = waterMm + Math.max(0, -demandMm);
      spell.demandMm = Math.max(0, demandMm);
      spell.hours = hours;
      stepRow(pores, rule, rows, place, spell, sums);
      return at(sums, DRAINED);
    },
    marginMm: (rows, from, demandMmPerH) => at(rows, from) - dryLimitMm(model, demandMmPerH),
    roomMm: (rows, from) =>
      Math.max(0, model.full.seedMm - at(rows, from)) +
      Math.max(0, model.drained.belowMm - at(rows, from + 1)),
  };
}

/** What the surface can no longer give is drawn by roots, after each step: none may be a long one. */
const LONGEST_STEP_H = 1 / 12;

function withRoots(bare: StoreRows, model: SeedbedModel, roots: RootLimits): StoreRows {
  const { limit, reach } = roots;
  const { belowMm: drained2Mm, rootMm: drained3Mm } = model.drained;
  const in1 = (mm: number) => Math.max(0, mm - limit.seedMm);
  const in2 = (mm: number) =>
    Math.max(0, Math.min(mm, drained2Mm) - limit.belowMm) +
    reach.belowFraction * Math.max(0, mm - drained2Mm);
  const in3 = (mm: number) =>
    Math.max(0, Math.min(mm, drained3Mm) - limit.rootMm) +
    reach.rootFraction * Math.max(0, mm - drained3Mm);
  const sum = (rows: Float64Array, from: number) =>
    at(rows, from) + at(rows, from + 1) + at(rows, from + 2);
  return {
    names: bare.names,
    step(rows, { from, to }, { waterMm, demandMm, hours }) {
      const steps = Math.max(1, Math.ceil(hours / LONGEST_STEP_H - 1e-9));
      const part = { waterMm: waterMm / steps, demandMm: demandMm / steps, hours: hours / steps };
      const askedMm = Math.max(0, part.demandMm);
      let drainedMm = 0;
      for (let step = 0; step < steps; step++) {
        const place = { from: step === 0 ? from : to, to };
        const hadMm = sum(rows, place.from) + part.waterMm + Math.max(0, -part.demandMm);
        const fellMm = bare.step(rows, place, part);
        drainedMm += fellMm;
        let lackMm = askedMm - (hadMm - fellMm - sum(rows, to));
        if (lackMm <= (1 - WET_SURFACE_FRACTION) * askedMm) continue;
        const seedMm = Math.min(lackMm, in1(at(rows, to)));
        lackMm -= seedMm;
        const belowMm = Math.min(lackMm, in2(at(rows, to + 1)));
        const rootMm = Math.min(lackMm - belowMm, in3(at(rows, to + 2)));
        rows[to] = at(rows, to) - seedMm;
        rows[to + 1] = at(rows, to + 1) - belowMm;
        rows[to + 2] = at(rows, to + 2) - rootMm;
      }
      return drainedMm;
    },
    marginMm(rows, from) {
      const [w1, w2, w3] = [at(rows, from), at(rows, from + 1), at(rows, from + 2)];
      const leftMm = in1(w1) + in2(w2) + in3(w3);
      if (leftMm > 0) return leftMm;
      return Math.max(
        w1 - limit.seedMm,
        reach.belowFraction > 0 ? w2 - limit.belowMm : Number.NEGATIVE_INFINITY,
        reach.rootFraction > 0 ? w3 - limit.rootMm : Number.NEGATIVE_INFINITY,
      );
    },
    roomMm: (rows, from) =>
      bare.roomMm(rows, from) + reach.rootFraction * Math.max(0, drained3Mm - at(rows, from + 2)),
  };
}
