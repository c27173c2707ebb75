import type { BedProfile } from './bed-column.ts';
import type { VanGenuchten } from './hydraulic-properties.ts';
import { fitLeastSquares } from './least-squares.ts';
import { marginMm, type SeedbedModel, type SeedbedState, stepSeedbed } from './seedbed-model.ts';
import { bedStates, type TrainingRun, trainingRuns, waterInLayers } from './training-runs.ts';

/** A model, and the sum of squares over its training runs: see {@link GREATEST_SOUND_COST}. */
export interface DerivedSeedbed {
  model: SeedbedModel;
  cost: number;
}

/** Raised when the derivation changes, so that no older result is taken for a new one. */
export const DERIVATION = 2;

/** A model that misses its own column runs by more than this is not to be planned with. */
export const GREATEST_SOUND_COST = 0.5;

/** Thickness of the layer below the seed layer: both are tried and the better one kept. */
const BELOW_LAYERS_MM = [40, 70];
/** A miss of 15 % or ten minutes, whichever is longer, weighs as much as this. */
const WEIGHT_AT_TOLERANCE = 0.35;
const TOLERANCE_FRACTION = 0.15;
const TOLERANCE_H = 1 / 6;
const DIFFERENCE_FRACTIONS = [5e-3, 1e-3, 0.03, 0.1, 1e-3, 0.03, 1e-3];
const GOOD_COST = 0.05;
const WATCHED_PARTS = [0.05, 0.15, 0.3, 0.5, 0.7, 0.9];

function stateOf(layersMm: readonly number[]): SeedbedState {
  const [seedMm = 0, belowMm = 0, rootMm = 0] = layersMm;
  return { seedMm, belowMm, rootMm };
}

type Frame = Pick<SeedbedModel, 'limitMm' | 'full' | 'drained' | 'dry'> & {
  thicknessesMm: number[];
  poresMm: number[];
};

function modelFrom(values: readonly number[], frame: Frame): SeedbedModel {
  const layer = (index: number) => ({
    thicknessMm: frame.thicknessesMm[index] ?? 0,
    poreMm: frame.poresMm[index] ?? 0,
    fallMmPerH: Math.exp(values[index * 4] ?? 0),
    fallPower: values[index * 4 + 1] ?? 1,
    riseMmPerH: index < 2 ? Math.exp(values[index * 4 + 2] ?? 0) : 0,
    risePower: index < 2 ? (values[index * 4 + 3] ?? 1) : 1,
  });
  return {
    seed: layer(0),
    below: layer(1),
    root: layer(2),
    supplyMmPerH: Math.exp(values[10] ?? 0),
    supplyPower: values[11] ?? 1,
    limitMm: frame.limitMm,
    full: frame.full,
    drained: frame.drained,
    dry: frame.dry,
  };
}

/** Residuals of a run: the stores on the way, lightly; the hour of drying, with full weight. */
function runResiduals(model: SeedbedModel, run: TrainingRun): number[] {
  const out: number[] = [];
  let state = stateOf(run.layersMm[0] ?? []);
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
      afterH >= run.fromH + (WATCHED_PARTS[watched] ?? 1) * lengthH
    ) {
      const [seedMm = 0, belowMm = 0, rootMm = 0] = seen;
      out.push(
        (0.25 * (state.seedMm - seedMm)) / (seedMm + 0.2),
        (0.08 * (state.belowMm - belowMm)) / (belowMm + 0.3),
        (0.04 * (state.rootMm - rootMm)) / (rootMm + 0.5),
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
  const lateH = dryAtH === null ? null : Math.max(dryAtH - run.fromH, 0.02);
  if (run.dryAtH !== null) {
    const gap = lateH === null ? 1 : Math.log(lateH / Math.max(run.dryAtH - run.fromH, 0.02));
    out.push(Math.max(-3, Math.min(3, (WEIGHT_AT_TOLERANCE * gap) / tolerance)));
  } else if (lateH === null) out.push(0);
  else out.push(Math.min(3, (WEIGHT_AT_TOLERANCE * Math.log(lengthH / lateH)) / tolerance));
  return out.map((miss) => (Number.isFinite(miss) ? miss : 10));
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
  const [thin = 40, thick = 70] = BELOW_LAYERS_MM;
  const fineBottoms = [seedLayerMm, seedLayerMm + thin, seedLayerMm + thick, bed.depthMm];
  const fine = trainingRuns(states, fineBottoms);
  const tries = BELOW_LAYERS_MM.map((belowMm) => {
    const bottoms = [seedLayerMm, seedLayerMm + belowMm, bed.depthMm];
    const thicknessesMm = [seedLayerMm, belowMm, bed.depthMm - seedLayerMm - belowMm];
    const poresMm = thicknessesMm.map((mm) => mm * spanFraction);
    const merged = (layers: readonly number[]) => {
      const [seedMm = 0, upperMm = 0, middleMm = 0, lowerMm = 0] = layers;
      return belowMm === thin
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
    const residuals = (values: readonly number[]) => {
      const model = modelFrom(values, frame);
      return runs.flatMap((run) => runResiduals(model, run));
    };
    let best = {
      values: firstValues(runs, { poresMm, sand: bed.sand }),
      cost: Number.POSITIVE_INFINITY,
    };
    // The hours of drying jump when a run stops drying at all: coarse differences get past it.
    for (const differenceFraction of DIFFERENCE_FRACTIONS) {
      const found = fitLeastSquares({
        residuals,
        start: best.values,
        lower: LOWER_BOUNDS,
        upper: UPPER_BOUNDS,
        iterations: 20,
        differenceFraction,
      });
      if (found.cost < best.cost) best = found;
      if (best.cost < GOOD_COST && differenceFraction < 2e-3) break;
    }
    return { model: modelFrom(best.values, frame), cost: best.cost };
  });
  tries.sort((a, b) => a.cost - b.cost);
  return tries[0] as DerivedSeedbed;
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

/** Flows between the layers at each look, from the column's own water in them. */
function layerFlows(runs: readonly TrainingRun[], poresMm: readonly number[]): LayerFlows[] {
  return runs.flatMap((run) =>
    run.evaporationMmPerH.map((evaporationMmPerH, i) => {
      const spell = run.spells[i];
      const before = run.layersMm[i] ?? [];
      const after = run.layersMm[i + 1] ?? [];
      const hours = spell?.hours ?? 1;
      let flux = (spell?.waterMmPerH ?? 0) - evaporationMmPerH;
      const fluxMmPerH = after.map((mm, layer) => {
        flux -= (mm - (before[layer] ?? 0)) / hours;
        return flux;
      });
      return {
        filled: after.map((mm, layer) => Math.max(1e-6, mm / (poresMm[layer] ?? 1))),
        fluxMmPerH,
        evaporationMmPerH,
        demandMmPerH: spell?.demandMmPerH ?? 0,
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
  // Far from saturation Mualem's conductivity is Ks m² filled^(l + 2/m).
  const m = 1 - 1 / sand.n;
  const power = (sand.l ?? 0.5) + 2 / m;
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
    return results[0]?.values ?? [];
  };
  const off = (model: number, seen: number) =>
    softened((model - seen) / (0.05 + 0.15 * Math.abs(seen)));
  const between = (layer: number) =>
    best(
      ([fall = 0, fallPower = 0, rise = 0, risePower = 0]) =>
        some.map(({ filled, fluxMmPerH }) => {
          const upper = filled[layer] ?? 0;
          const lower = filled[layer + 1] ?? 0;
          const flow =
            Math.exp(fall) * upper ** fallPower +
            Math.exp(rise) * (upper ** risePower - lower ** risePower);
          return off(flow, fluxMmPerH[layer] ?? 0);
        }),
      {
        starts: [logFall, -4].flatMap((fall) => [2.5, 5].map((rise) => [fall, power, 3, rise])),
        at: layer * 4,
      },
    );
  const out = best(
    ([fall = 0, fallPower = 0]) =>
      some.map(({ filled, fluxMmPerH }) =>
        off(Math.exp(fall) * (filled[2] ?? 0) ** fallPower, fluxMmPerH[2] ?? 0),
      ),
    { starts: [logFall, -3].flatMap((fall) => [power, 8].map((p) => [fall, p])), at: 8 },
  );
  const short = all.filter(({ evaporationMmPerH: e, demandMmPerH: d }) => e < 0.97 * d && e > 0.02);
  const supply =
    short.length <= 3
      ? AMPLE_SUPPLY
      : best(
          ([logSupply = 0, supplyPower = 0]) =>
            thinned(short, MOST_MOMENTS).map(({ filled, evaporationMmPerH }) =>
              softened(
                (logSupply + supplyPower * Math.log(filled[0] ?? 1) - Math.log(evaporationMmPerH)) /
                  0.1,
              ),
            ),
          { starts: [[6, 3]], at: 10 },
        );
  return [...between(0), ...between(1), ...out, ...supply];
}
