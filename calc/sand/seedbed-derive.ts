import type { BedProfile } from './bed-column.ts';
import { fitLeastSquares } from './least-squares.ts';
import { firstValues, GREATEST_VALUES, LEAST_VALUES } from './seedbed-flows.ts';
import { marginMm, type SeedbedModel, type SeedbedState } from './seedbed-model.ts';
import { bandsOf, bedStates, type Rehearsal, rehearse } from './seedbed-rehearsal.ts';
import { stepSeedbed } from './seedbed-step.ts';

/** A model, and how far it misses its rehearsals (sum of squares): see {@link GREATEST_SOUND_COST}. */
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
const NUDGES = [5e-3, 1e-3, 0.03, 0.1, 1e-3, 0.03, 1e-3];
const GOOD_COST = 0.05;
const WATCHED_PARTS = [0.05, 0.15, 0.3, 0.5, 0.7, 0.9];

function stateOf(bandsMm: readonly number[]): SeedbedState {
  const [seedMm = 0, belowMm = 0, rootMm = 0] = bandsMm;
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

/** Misses of one rehearsal: the stores on the way, lightly; the hour of drying, with full weight. */
function misses(model: SeedbedModel, run: Rehearsal): number[] {
  const out: number[] = [];
  let state = stateOf(run.bandsMm[0] ?? []);
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
    const seen = run.bandsMm[i + 1];
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
 * wetted, drained and dried for the three states and the limit, run through its rehearsals, and the
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
  const fine = rehearse(states, fineBottoms);
  const tries = BELOW_LAYERS_MM.map((belowMm) => {
    const bottoms = [seedLayerMm, seedLayerMm + belowMm, bed.depthMm];
    const thicknessesMm = [seedLayerMm, belowMm, bed.depthMm - seedLayerMm - belowMm];
    const poresMm = thicknessesMm.map((mm) => mm * spanFraction);
    const merged = (bands: readonly number[]) => {
      const [seedMm = 0, upperMm = 0, middleMm = 0, lowerMm = 0] = bands;
      return belowMm === thin
        ? [seedMm, upperMm, middleMm + lowerMm]
        : [seedMm, upperMm + middleMm, lowerMm];
    };
    const runs = fine.map((run) => ({ ...run, bandsMm: run.bandsMm.map(merged) }));
    const frame: Frame = {
      thicknessesMm,
      poresMm,
      limitMm: (states.limit.waterFraction - bed.sand.residualFraction) * seedLayerMm,
      full: stateOf(bandsOf(states.full, bottoms)),
      drained: stateOf(bandsOf(states.drained, bottoms)),
      dry: stateOf(bandsOf(states.dry, bottoms)),
    };
    const residuals = (values: readonly number[]) => {
      const model = modelFrom(values, frame);
      return runs.flatMap((run) => misses(model, run));
    };
    let best = {
      values: firstValues(runs, { poresMm, sand: bed.sand }),
      cost: Number.POSITIVE_INFINITY,
    };
    // The hours of drying jump when a run stops drying at all: coarse nudges get past such steps.
    for (const nudgeFraction of NUDGES) {
      const found = fitLeastSquares({
        residuals,
        start: best.values,
        least: LEAST_VALUES,
        greatest: GREATEST_VALUES,
        iterations: 20,
        nudgeFraction,
      });
      if (found.cost < best.cost) best = found;
      if (best.cost < GOOD_COST && nudgeFraction < 2e-3) break;
    }
    return { model: modelFrom(best.values, frame), cost: best.cost };
  });
  tries.sort((a, b) => a.cost - b.cost);
  return tries[0] as DerivedSeedbed;
}
