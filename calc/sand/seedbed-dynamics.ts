import {
  dryLimitMm,
  marginMm,
  roomMm,
  type SeedbedChange,
  type SeedbedLayer,
  type SeedbedModel,
  type SeedbedSpell,
  type SeedbedState,
  stepSeedbed,
  WET_SURFACE_FRACTION,
} from './seedbed-model.ts';

/** What differs between a bed whose surface rules and one with roots. */
export interface SeedbedDynamics {
  step(state: SeedbedState, spell: SeedbedSpell): SeedbedChange;
  marginMm(state: SeedbedState, demandMmPerH: number): number;
  roomMm(state: SeedbedState): number;
  /** A state at the dry limit of this demand. */
  dryAt(demandMmPerH: number): SeedbedState;
}

/** A bed without roots: it is as moist as its surface. */
export function bareSeedbed(model: SeedbedModel): SeedbedDynamics {
  return {
    step: (state, spell) => stepSeedbed(model, state, spell),
    marginMm: (state, demandMmPerH) => marginMm(model, state, demandMmPerH),
    roomMm: (state) => roomMm(model, state),
    dryAt: (demandMmPerH) => ({
      ...model.dry,
      seedMm: Math.max(model.dry.seedMm, dryLimitMm(model, demandMmPerH)),
    }),
  };
}

/** A bed with roots down to a depth, mm. */
export function rootedSeedbed(model: SeedbedModel, rootsMm: number): SeedbedDynamics {
  const reach = rootReach(model, rootsMm);
  const limit = usedUp(model, reach);
  const dry = {
    seedMm: limit.seedMm,
    belowMm: Math.min(model.dry.belowMm, limit.belowMm),
    rootMm: Math.min(model.dry.rootMm, limit.rootMm),
  };
  return {
    step: (state, spell) => stepRooted(model, reach, { state, spell }),
    marginMm: (state) => rootedMarginMm(model, reach, state),
    roomMm: (state) =>
      roomMm(model, state) + reach.rootFraction * Math.max(0, model.drained.rootMm - state.rootMm),
    dryAt: () => dry,
  };
}

/** Part of each layer's drained water that roots may use: half-way to residual. Common practice. */
export const USABLE_FRACTION = 0.5;

/** What roots down to a depth leave of each layer, and how much of those under the seed layer they reach. */
export interface RootLimits {
  limit: SeedbedState;
  reach: RootReach;
}

/** @param depthMm of the roots, mm */
export function limitsOfRoots(model: SeedbedModel, depthMm: number): RootLimits {
  const reach = rootReach(model, depthMm);
  return { limit: usedUp(model, reach), reach };
}

/** How much of the two layers under the seed layer roots reach, parts of 1. */
interface RootReach {
  belowFraction: number;
  rootFraction: number;
}

/** What roots down to a depth reach of a bed's layers, the seed layer wholly. */
export function rootReach(model: SeedbedModel, depthMm: number): RootReach {
  const part = (topMm: number, { thicknessMm }: SeedbedLayer) =>
    Math.min(1, Math.max(0, (depthMm - topMm) / thicknessMm));
  const belowTopMm = model.seed.thicknessMm;
  return {
    belowFraction: part(belowTopMm, model.below),
    rootFraction: part(belowTopMm + model.below.thicknessMm, model.root),
  };
}

/** Water at which roots have used up what they reach of each layer, mm above residual. */
function usedUp(model: SeedbedModel, reach: RootReach): SeedbedState {
  return {
    seedMm: model.limitMm,
    belowMm: model.drained.belowMm * (1 - USABLE_FRACTION * reach.belowFraction),
    rootMm: model.drained.rootMm * (1 - USABLE_FRACTION * reach.rootFraction),
  };
}

/**
 * Water that roots can still take from each layer, mm: at least 0. Above the drained state a layer's
 * surplus counts as far as it is reached. Deeper roots never have less.
 */
export function withinReach(
  model: SeedbedModel,
  reach: RootReach,
  state: SeedbedState,
): SeedbedState {
  const limit = usedUp(model, reach);
  const of = (waterMm: number, drainedMm: number, limitMm: number, part: number) =>
    Math.max(0, Math.min(waterMm, drainedMm) - limitMm) + part * Math.max(0, waterMm - drainedMm);
  return {
    seedMm: Math.max(0, state.seedMm - limit.seedMm),
    belowMm: of(state.belowMm, model.drained.belowMm, limit.belowMm, reach.belowFraction),
    rootMm: of(state.rootMm, model.drained.rootMm, limit.rootMm, reach.rootFraction),
  };
}

/**
 * Water above the dry limit of a bed with roots, mm. It is moist while any layer that roots reach
 * holds more than half of its drained water, and so at least as long as its surface is wet. Once none
 * does, it is as dry as the layer that is nearest to its limit.
 */
export function rootedMarginMm(model: SeedbedModel, reach: RootReach, state: SeedbedState): number {
  const { seedMm, belowMm, rootMm } = withinReach(model, reach, state);
  const leftMm = seedMm + belowMm + rootMm;
  if (leftMm > 0) return leftMm;
  const limit = usedUp(model, reach);
  return Math.max(
    state.seedMm - limit.seedMm,
    reach.belowFraction > 0 ? state.belowMm - limit.belowMm : Number.NEGATIVE_INFINITY,
    reach.rootFraction > 0 ? state.rootMm - limit.rootMm : Number.NEGATIVE_INFINITY,
  );
}

/** Uptake is taken off after each step of the flows: no step is longer than this. */
const LONGEST_STEP_H = 1 / 12;

/**
 * One spell of a bed with roots: the seedbed's own step, and what the surface can no longer give to
 * the air is drawn by roots from the layers that they reach, the upper one first. While the surface
 * counts as wet nothing is drawn, so a bed with roots and one without are the same until then.
 *
 * @param reach see `rootReach`
 * @returns `evaporatedMm` with what went through the plants; water is conserved to rounding
 * @throws RangeError on a negative or missing number
 */
export function stepRooted(
  model: SeedbedModel,
  reach: RootReach,
  { state, spell }: { state: SeedbedState; spell: SeedbedSpell },
): SeedbedChange {
  const steps = Math.max(1, Math.ceil(spell.hours / LONGEST_STEP_H - 1e-9));
  const part = {
    waterMm: spell.waterMm / steps,
    demandMm: spell.demandMm / steps,
    hours: spell.hours / steps,
  };
  let now = state;
  let evaporatedMm = 0;
  let drainedMm = 0;
  for (let step = 0; step < steps; step++) {
    const change = stepSeedbed(model, now, part);
    now = change.state;
    evaporatedMm += change.evaporatedMm;
    drainedMm += change.drainedMm;
    const lackMm = part.demandMm - change.evaporatedMm;
    if (lackMm <= (1 - WET_SURFACE_FRACTION) * part.demandMm) continue;
    const reached = withinReach(model, reach, now);
    const seedMm = Math.min(lackMm, reached.seedMm);
    const belowMm = Math.min(lackMm - seedMm, reached.belowMm);
    const rootMm = Math.min(lackMm - seedMm - belowMm, reached.rootMm);
    evaporatedMm += seedMm + belowMm + rootMm;
    now = {
      seedMm: now.seedMm - seedMm,
      belowMm: now.belowMm - belowMm,
      rootMm: now.rootMm - rootMm,
    };
  }
  return { state: now, evaporatedMm, drainedMm };
}

/** A stretch of weather ahead with a steady demand and, when given, water at a steady rate. */
export interface DemandSpell {
  hours: number;
  demandMmPerH: number;
  waterMmPerH?: number;
}

/** When the bed will be dry, and what will have evaporated by then. */
interface DryOutlook {
  hours: number;
  evaporatedMm: number;
}

const LOOK_H = 1 / 12;

/**
 * Time until the bed reaches its dry limit, or null when it does not within the series.
 *
 * Looks every five minutes and interpolates between two looks. A bed under water at the moment is
 * not called dry.
 *
 * @param series demand in mm/h, not below 0, in the order of time
 * @param dynamics a bed with roots; left out: only the surface counts
 * @example a bed that is dry at the first demand answers 0 hours
 */
export function hoursToDry(
  model: SeedbedModel,
  state: SeedbedState,
  series: Iterable<DemandSpell>,
  dynamics: SeedbedDynamics = bareSeedbed(model),
): DryOutlook | null {
  let now = state;
  let hours = 0;
  let evaporatedMm = 0;
  let beforeMm: number | null = null;
  for (const spell of series) {
    const waterMmPerH = spell.waterMmPerH ?? 0;
    const looks = Math.max(1, Math.ceil(spell.hours / LOOK_H - 1e-9));
    const lookH = spell.hours / looks;
    if (beforeMm === null && waterMmPerH === 0 && spell.demandMmPerH > 0) {
      beforeMm = dynamics.marginMm(now, spell.demandMmPerH);
      if (beforeMm <= 0) return { hours, evaporatedMm };
    }
    for (let look = 0; look < looks; look++) {
      const step = dynamics.step(now, {
        waterMm: waterMmPerH * lookH,
        demandMm: spell.demandMmPerH * lookH,
        hours: lookH,
      });
      now = step.state;
      if (waterMmPerH === 0 && spell.demandMmPerH > 0) {
        const afterMm = dynamics.marginMm(now, spell.demandMmPerH);
        if (afterMm <= 0) {
          const part = beforeMm !== null && beforeMm > 0 ? beforeMm / (beforeMm - afterMm) : 1;
          return {
            hours: hours + part * lookH,
            evaporatedMm: evaporatedMm + part * step.evaporatedMm,
          };
        }
        beforeMm = afterMm;
      } else beforeMm = null;
      hours += lookH;
      evaporatedMm += step.evaporatedMm;
    }
  }
  return null;
}

/**
 * The one number for people: mm that can still evaporate at this demand before the bed is dry, 0 at
 * the dry limit. From the full state it is the bed's capacity at that demand. Counts what rises from
 * below and not what falls away. At most what evaporates in `mostHours` (default 48).
 */
export function storeMm(
  model: SeedbedModel,
  state: SeedbedState,
  asked: { demandMmPerH: number; mostHours?: number; dynamics?: SeedbedDynamics },
): number {
  const { demandMmPerH, mostHours = 48, dynamics } = asked;
  if (!(demandMmPerH > 0)) {
    throw new RangeError(
      `storeMm: demand must be above 0 (got ${demandMmPerH}); ask at the demand of the hour that matters`,
    );
  }
  const outlook = hoursToDry(model, state, [{ hours: mostHours, demandMmPerH }], dynamics);
  return outlook === null ? demandMmPerH * mostHours : outlook.evaporatedMm;
}
