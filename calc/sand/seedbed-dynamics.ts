import { rootedMarginMm, rootReach, usedUp } from './root-reach.ts';
import { stepRooted } from './rooted-step.ts';
import {
  dryLimitMm,
  marginMm,
  roomMm,
  type SeedbedModel,
  type SeedbedState,
} from './seedbed-model.ts';
import { type SeedbedChange, type SeedbedSpell, stepSeedbed } from './seedbed-step.ts';

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
