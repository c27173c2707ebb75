import { entryOf } from '../checked-entry.ts';
import type { BedProfile } from './bed-column.ts';
import { MUALEM_L, type VanGenuchten } from './hydraulic-properties.ts';
import { fitLeastSquares } from './least-squares.ts';
import { marginMm, type SeedbedModel, type SeedbedState, stepSeedbed } from './seedbed-model.ts';
import { bedStates, type TrainingRun, trainingRuns, waterInLayers } from './training-runs.ts';

/** A model, and the sum of squares over its training runs: see {@link GREATEST_SOUND_COST}. */
export interface DerivedSeedbed {
  model: SeedbedModel;
  cost: number;
}

/** Raised when the derivation changes, so that no older result is taken for a new one. */
export const DERIVATION = 3;

/**
 * A model that misses its own column runs by more than this is not to be planned with: the hours of
 * drying, of some twenty runs, by more than 12 % in the mean. Strongly hysteretic open sands come near
 * to it, since the three stores have one curve each.
 */
export const GREATEST_SOUND_COST = 1.5;

/** Thicknesses of the layer below the seed layer: both are tried and the better one kept. */
const THIN_BELOW_MM = 40;
const THICK_BELOW_MM = 70;
/**
 * The hour of drying decides: a miss of 15 % or ten minutes, whichever is longer, counts as a residual
 * of 0.35, in proportion to the logarithm of the two hours, and no run as more than 3.
 */
const WEIGHT_AT_TOLERANCE = 0.35;
const TOLERANCE_FRACTION = 0.15;
const TOLERANCE_H = 1 / 6;
const GREATEST_RESIDUAL = 3;
/** Hours shorter than this are not told apart. */
const SHORTEST_H = 0.02;
/**
 * The stores on the way to dryness, looked at in these parts of the time: each misses by its distance
 * from the column's over that plus `floorMm`, so that a nearly empty store is not weighed by parts of
 * nothing. They only guide the search, the deeper the less, since the seed layer alone makes a bed dry.
 */
const WATCHED_PARTS = [0.05, 0.15, 0.3, 0.5, 0.7, 0.9];
const WATCHED: Readonly<Record<keyof SeedbedState, { weight: number; floorMm: number }>> = {
  seedMm: { weight: 0.25, floorMm: 0.2 },
  belowMm: { weight: 0.08, floorMm: 0.3 },
  rootMm: { weight: 0.04, floorMm: 0.5 },
};
/** Changes that slopes are taken from: for each thickness, and then for the better of the two. */
const FIRST_DIFFERENCE_FRACTIONS = [5e-3, 1e-3];
const LATER_DIFFERENCE_FRACTIONS = [0.03, 0.1, 1e-3];
const GOOD_COST = 0.1;

function stateOf(layersMm: readonly number[]): SeedbedState {
  return {
    seedMm: entryOf(layersMm, 0),
    belowMm: entryOf(layersMm, 1),
    rootMm: entryOf(layersMm, 2),
  };
}

type Frame = Pick<SeedbedModel, 'limitMm' | 'full' | 'drained' | 'dry'> & {
  thicknessesMm: number[];
  poresMm: number[];
};

/** The model of twelve numbers: ln F, a, ln R, b of the two upper stores, ln F, a, ln E, g. */
function modelFrom(values: readonly number[], frame: Frame): SeedbedModel {
  const layer = (index: number) => ({
    thicknessMm: entryOf(frame.thicknessesMm, index),
    poreMm: entryOf(frame.poresMm, index),
    fallMmPerH: Math.exp(entryOf(values, index * 4)),
    fallPower: entryOf(values, index * 4 + 1),
  });
  const rise = (index: number) => ({
    riseMmPerH: Math.exp(entryOf(values, index * 4 + 2)),
    risePower: entryOf(values, index * 4 + 3),
  });
  return {
    seed: { ...layer(0), ...rise(0) },
    below: { ...layer(1), ...rise(1) },
    // Nothing rises into the root zone from below it.
    root: { ...layer(2), riseMmPerH: 0, risePower: 1 },
    supplyMmPerH: Math.exp(entryOf(values, 10)),
    supplyPower: entryOf(values, 11),
    limitMm: frame.limitMm,
    full: frame.full,
    drained: frame.drained,
    dry: frame.dry,
  };
}

/** Residuals of a run: the stores on the way, lightly; the hour of drying, with full weight. */
function runResiduals(model: SeedbedModel, run: TrainingRun): number[] {
  const out: number[] = [];
  let state = stateOf(entryOf(run.layersMm, 0));
  const totalH = run.spells.reduce((sum, spell) => sum + spell.hours, 0);
  const endH = run.dryAtH ?? totalH;
  const lengthH = Math.max(endH - run.fromH, 0.3);
  let nowH = 0;
  let dryAtH: number | null = null;
  let beforeMm: number | null = null;
  let watched = 0;
  for (const [i, spell] of run.spells.entries()) {
    const { hours, waterMmPerH, demandMmPerH } = spell;
    const spellMm = { waterMm: waterMmPerH * hours, demandMm: demandMmPerH * hours, hours };
    state = stepSeedbed(model, state, spellMm).state;
    const afterH = nowH + hours;
    const seen = run.layersMm[i + 1];
    while (
      seen !== undefined &&
      watched < WATCHED_PARTS.length &&
      afterH >= run.fromH + entryOf(WATCHED_PARTS, watched) * lengthH
    ) {
      const column = stateOf(seen);
      out.push(
        watchedMiss(state, column, 'seedMm'),
        watchedMiss(state, column, 'belowMm'),
        watchedMiss(state, column, 'rootMm'),
      );
      watched++;
    }
    if (afterH > run.fromH + 1e-9 && waterMmPerH === 0 && demandMmPerH > 0.001) {
      const leftMm = marginMm(model, state, demandMmPerH);
      if (leftMm <= 0 && dryAtH === null) {
        const part = beforeMm !== null && beforeMm > 0 ? beforeMm / (beforeMm - leftMm) : 0.5;
        dryAtH = nowH + part * hours;
      }
      beforeMm = leftMm;
    }
    nowH = afterH;
    const later = nowH >= endH;
    if (later && (dryAtH !== null || nowH > endH + 1.5 * lengthH)) break;
  }
  while (out.length < WATCHED_PARTS.length * 3) out.push(0);
  const tolerance = Math.max(TOLERANCE_FRACTION, TOLERANCE_H / lengthH);
  const lateH = dryAtH === null ? null : Math.max(dryAtH - run.fromH, SHORTEST_H);
  const miss = (logRatio: number) => (WEIGHT_AT_TOLERANCE * logRatio) / tolerance;
  if (run.dryAtH !== null) {
    // A model that does not dry at all misses as one that is late by a factor of e.
    const columnH = Math.max(run.dryAtH - run.fromH, SHORTEST_H);
    const logRatio = lateH === null ? 1 : Math.log(lateH / columnH);
    out.push(Math.max(-GREATEST_RESIDUAL, Math.min(GREATEST_RESIDUAL, miss(logRatio))));
  } else if (lateH === null) out.push(0);
  else out.push(Math.min(GREATEST_RESIDUAL, miss(Math.log(lengthH / lateH))));
  return out.map((one) => (Number.isFinite(one) ? one : UNFIT_RESIDUAL));
}

/** A residual of a model whose numbers have run away. */
const UNFIT_RESIDUAL = 10;

function watchedMiss(model: SeedbedState, column: SeedbedState, store: keyof SeedbedState): number {
  const { weight, floorMm } = WATCHED[store];
  return (weight * (model[store] - column[store])) / (column[store] + floorMm);
}

/**
 * The planning model of a bed, found from the numerical column and from nothing else: the column is
 * wetted, drained and dried for the three states and the limit, gives the training runs, and the
 * model's twelve numbers are fitted to the flows between the layers and then to the hours of drying.
 *
 * Takes one to a few seconds: once for a sand, never while planning.
 *
 * @param bed the sand, its depth (at least 150 mm) and what lies under it
 * @param seedLayerMm thickness of the seed layer, 8 when left out
 * @throws RangeError on an impossible sand or depth
 */
export function deriveSeedbedModel(bed: BedProfile, seedLayerMm = 8): DerivedSeedbed {
  if (!(bed.depthMm >= 150)) {
    throw new RangeError(
      `deriveSeedbedModel: the sand must be at least 150 mm deep (got ${bed.depthMm}); check the unit`,
    );
  }
  const states = bedStates(bed, seedLayerMm);
  const spanFraction = bed.sand.saturatedFraction - bed.sand.residualFraction;
  const fineBottoms = [
    seedLayerMm,
    seedLayerMm + THIN_BELOW_MM,
    seedLayerMm + THICK_BELOW_MM,
    bed.depthMm,
  ];
  const fine = trainingRuns(states, fineBottoms);
  const tries = [THIN_BELOW_MM, THICK_BELOW_MM].map((belowMm) => {
    const bottoms = [seedLayerMm, seedLayerMm + belowMm, bed.depthMm];
    const thicknessesMm = [seedLayerMm, belowMm, bed.depthMm - seedLayerMm - belowMm];
    const poresMm = thicknessesMm.map((mm) => mm * spanFraction);
    const merged = (layers: readonly number[]) => {
      const seedMm = entryOf(layers, 0);
      const upperMm = entryOf(layers, 1);
      const middleMm = entryOf(layers, 2);
      const lowerMm = entryOf(layers, 3);
      return belowMm === THIN_BELOW_MM
        ? [seedMm, upperMm, middleMm + lowerMm]
        : [seedMm, upperMm + middleMm, lowerMm];
    };
    const runs = fine.map((run) => ({ ...run, layersMm: run.layersMm.map(merged) }));
    const frame: Frame = {
      thicknessesMm,
      poresMm,
      limitMm: (states.limit.waterFraction - bed.sand.residualFraction) * seedLayerMm,
      full: stateOf(waterInLayers(states.full, bottoms)),
      drained: stateOf(waterInLayers(states.drained, bottoms)),
      dry: stateOf(waterInLayers(states.dry, bottoms)),
    };
    const search: Search = {
      frame,
      residuals: (values) => {
        const model = modelFrom(values, frame);
        return runs.flatMap((run) => runResiduals(model, run));
      },
      values: firstValues(runs, { poresMm, sand: bed.sand }),
      cost: Number.POSITIVE_INFINITY,
    };
    return searched(search, FIRST_DIFFERENCE_FRACTIONS);
  });
  tries.sort((a, b) => a.cost - b.cost);
  const better = entryOf(tries, 0);
  // The hours of drying jump when a run stops drying at all: coarse differences get past it.
  const { values, cost, frame } =
    better.cost < GOOD_COST ? better : searched(better, LATER_DIFFERENCE_FRACTIONS);
  return { model: modelFrom(values, frame), cost };
}

/** A search for a model's twelve numbers, as far as it has come. */
interface Search {
  frame: Frame;
  residuals(values: readonly number[]): number[];
  values: number[];
  cost: number;
}

/** The search taken further, by one round for each of the differences. */
function searched(search: Search, differenceFractions: readonly number[]): Search {
  let best = search;
  for (const differenceFraction of differenceFractions) {
    const found = fitLeastSquares({
      residuals: best.residuals,
      start: best.values,
      lower: LOWER_BOUNDS,
      upper: UPPER_BOUNDS,
      iterations: 20,
      differenceFraction,
      isOneSided: true,
    });
    if (found.cost < best.cost) best = { ...best, ...found };
  }
  return best;
}

/**
 * Order of the model's numbers while they are sought: logarithm of the full drainage and its power,
 * logarithm of the full capillary rise and its power, for the seed layer and the layer below it;
 * drainage of the root zone; supply to the air.
 */
export const LOWER_BOUNDS = [-6, 1.2, -8, 1, -6, 1.2, -8, 1, -30, 1.2, -2, 1];
export const UPPER_BOUNDS = [16, 12, 22, 14, 16, 12, 22, 14, 20, 25, 22, 12];

const MOST_MOMENTS = 400;
/** Supply that stands for "the air never asked too much" when no run showed the opposite. */
const AMPLE_SUPPLY = [12, 3];

interface LayerFlows {
  filled: number[];
  fluxMmPerH: number[];
  evaporationMmPerH: number;
  demandMmPerH: number;
}

/** A residual that grows slowly when it is large: no single moment decides. */
function softened(value: number): number {
  return Math.sign(value) * Math.log1p(Math.abs(value));
}

function thinned<T>(all: readonly T[], most: number): T[] {
  const every = Math.ceil(all.length / most);
  return all.filter((_, i) => i % every === 0);
}

/**
 * Flows between the layers at each look, from the column's own water in them: what came in above less
 * what stayed, q[j] = q[j-1] - dW[j]/dt, with q[-1] = water - evaporation.
 */
function layerFlows(runs: readonly TrainingRun[], poresMm: readonly number[]): LayerFlows[] {
  return runs.flatMap((run) =>
    run.evaporationMmPerH.map((evaporationMmPerH, i) => {
      const { hours, waterMmPerH, demandMmPerH } = entryOf(run.spells, i);
      const before = entryOf(run.layersMm, i);
      const after = entryOf(run.layersMm, i + 1);
      let q = waterMmPerH - evaporationMmPerH;
      const fluxMmPerH = after.map((mm, layer) => {
        q -= (mm - entryOf(before, layer)) / hours;
        return q;
      });
      return {
        filled: after.map((mm, layer) => Math.max(1e-6, mm / entryOf(poresMm, layer))),
        fluxMmPerH,
        evaporationMmPerH,
        demandMmPerH,
      };
    }),
  );
}

/**
 * A first set of the model's numbers, from the flows that the column itself had between the layers:
 * no simulation, each flow sought on its own. Good enough to begin the fit of the drying times from.
 */
export function firstValues(
  runs: readonly TrainingRun[],
  { poresMm, sand }: { poresMm: readonly number[]; sand: VanGenuchten },
): number[] {
  const all = layerFlows(runs, poresMm);
  const some = thinned(all, MOST_MOMENTS);
  // Far from saturation Mualem's conductivity is K(Se) = Ks m² Se^(l + 2/m): F and a to begin from.
  const m = 1 - 1 / sand.n;
  const power = (sand.l ?? MUALEM_L) + 2 / m;
  const logFall = Math.log(sand.saturatedMmPerH * m * m);
  const best = (
    residuals: (values: readonly number[]) => number[],
    { starts, at }: { starts: number[][]; at: number },
  ): number[] => {
    const results = starts.map((start) =>
      fitLeastSquares({
        residuals,
        start,
        lower: LOWER_BOUNDS.slice(at, at + start.length),
        upper: UPPER_BOUNDS.slice(at, at + start.length),
        iterations: 80,
        differenceFraction: 1e-3,
      }),
    );
    results.sort((a, b) => a.cost - b.cost);
    return entryOf(results, 0).values;
  };
  // A flow is known to 15 % and 0.05 mm/h: what it misses counts in these.
  const off = (model: number, seen: number) =>
    softened((model - seen) / (0.05 + 0.15 * Math.abs(seen)));
  const between = (layer: number) =>
    best(
      (values) => {
        const F = Math.exp(entryOf(values, 0));
        const a = entryOf(values, 1);
        const R = Math.exp(entryOf(values, 2));
        const b = entryOf(values, 3);
        return some.map(({ filled, fluxMmPerH }) => {
          const s = entryOf(filled, layer);
          const sBelow = entryOf(filled, layer + 1);
          return off(F * s ** a + R * (s ** b - sBelow ** b), entryOf(fluxMmPerH, layer));
        });
      },
      {
        starts: [logFall, -4].flatMap((fall) => [2.5, 5].map((rise) => [fall, power, 3, rise])),
        at: layer * 4,
      },
    );
  const out = best(
    (values) => {
      const F = Math.exp(entryOf(values, 0));
      const a = entryOf(values, 1);
      return some.map(({ filled, fluxMmPerH }) =>
        off(F * entryOf(filled, 2) ** a, entryOf(fluxMmPerH, 2)),
      );
    },
    { starts: [logFall, -3].flatMap((fall) => [power, 8].map((p) => [fall, p])), at: 8 },
  );
  const short = all.filter(({ evaporationMmPerH: e, demandMmPerH: d }) => e < 0.97 * d && e > 0.02);
  const supply =
    short.length <= 3
      ? AMPLE_SUPPLY
      : best(
          (values) => {
            const lnE = entryOf(values, 0);
            const g = entryOf(values, 1);
            // ln(E s^g) against ln e: known to a tenth.
            return thinned(short, MOST_MOMENTS).map(({ filled, evaporationMmPerH: e }) =>
              softened((lnE + g * Math.log(entryOf(filled, 0)) - Math.log(e)) / 0.1),
            );
          },
          { starts: [[6, 3]], at: 10 },
        );
  return [...between(0), ...between(1), ...out, ...supply];
}
