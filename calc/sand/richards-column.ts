import { at as checkedAt } from '../checked-entry.ts';
import type { ColumnGrid } from './column-grid.ts';
import type { DryingTable } from './hydraulic-properties.ts';
import { advancePath, createPaths, startDrained, takePaths } from './hysteresis.ts';
import {
  type BottomBoundary,
  type Column,
  fillProperties,
  type SandLayer,
  type TopBoundary,
  tryStep,
} from './richards-step.ts';
import { createTridiagonal } from './tridiagonal.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

const LEAST_STEP_H = 1e-9;

/** Weather that stays the same for a while. */
export interface Spell {
  hours: number;
  /** Rain and irrigation that reach the sand, mm/h. */
  waterMmPerH: number;
  /** What the air would evaporate from wet sand, mm/h, not below 0. */
  demandMmPerH: number;
  /** Longest time step, hours; 0.05 when left out. */
  longestStepH?: number;
}

/** Water that crossed the ends of the column, mm. */
export interface ColumnFlow {
  waterMm: number;
  evaporatedMm: number;
  drainedMm: number;
  runoffMm: number;
  /** Net inflow through a surface held at a fixed head, mm. */
  headInflowMm: number;
  hours: number;
  steps: number;
}

/** What one accepted step did, for whoever watches the column. */
export interface ColumnMoment {
  /** Time since the beginning of the spell, at the end of the step. */
  elapsedH: number;
  stepH: number;
  evaporationMmPerH: number;
  drainageMmPerH: number;
}

/**
 * A column of sand at a given head in every node. A hysteretic sand begins on its main drying curve,
 * as drained from saturation.
 *
 * @param profile the grid; the layers from the top, each with the number of its last node; the two
 *   boundaries; heads in mm, one for all nodes or one for each
 * @throws RangeError when the layers do not end at the last node, the heads do not match the nodes, or
 *   a hysteretic sand is not a tabulated one
 */
export function createColumn(profile: {
  grid: ColumnGrid;
  layers: readonly SandLayer[];
  top: TopBoundary;
  bottom: BottomBoundary;
  headMm: number | ArrayLike<number>;
}): Column {
  const { grid, layers, top, bottom } = profile;
  const size = grid.depthMm.length;
  if (layers.at(-1)?.lastNode !== size - 1) {
    throw new RangeError(
      `createColumn: the last layer must end at node ${size - 1} (got ${layers.at(-1)?.lastNode}); name the last node of each layer`,
    );
  }
  const headMm =
    typeof profile.headMm === 'number'
      ? new Float64Array(size).fill(profile.headMm)
      : Float64Array.from(profile.headMm);
  if (headMm.length !== size || headMm.some((head) => !Number.isFinite(head))) {
    throw new RangeError(
      `createColumn: needs ${size} finite heads (got ${headMm.length}); give one for each node`,
    );
  }
  if (top.kind === 'fixed_head') headMm[0] = top.headMm;
  if (bottom.kind === 'fixed_head') headMm[size - 1] = bottom.headMm;
  const array = () => new Float64Array(size);
  const work = {
    headMm: Float64Array.from(headMm),
    waterFraction: array(),
    capacityPerMm: array(),
    conductivityMmPerH: array(),
    massFraction: array(),
    faceMmPerH: array(),
    system: createTridiagonal(size),
  };
  const isHysteretic = layers.some(({ soil }) => (soil.wettingAlphaFactor ?? 1) > 1);
  const paths = isHysteretic ? createPaths(size) : null;
  if (paths !== null) {
    forHystereticNodes(layers, (node, table) =>
      startDrained(paths, table, { node, headMm: at(headMm, node) }),
    );
  }
  fillProperties({ layers, work, paths });
  return {
    grid,
    layers,
    top,
    bottom,
    headMm,
    waterFraction: Float64Array.from(work.waterFraction),
    pondMm: Math.max(0, at(headMm, 0)),
    paths,
    stepH: 1e-4,
    work,
  };
}

/** Calls for every node whose sand is hysteretic. */
function forHystereticNodes(
  layers: readonly SandLayer[],
  use: (node: number, table: DryingTable) => void,
): void {
  let from = 0;
  for (const { soil, lastNode } of layers) {
    if (soil.dryingTable !== undefined) {
      for (let node = from; node <= lastNode; node++) use(node, soil.dryingTable);
    } else if ((soil.wettingAlphaFactor ?? 1) > 1) {
      throw new RangeError(
        `createColumn: a hysteretic sand needs its table (got a factor of ${soil.wettingAlphaFactor} without one); give it as tabulated(sand)`,
      );
    }
    from = lastNode + 1;
  }
}

/** A column in the same state that can be run on its own. */
export function copyColumn(column: Column): Column {
  const { grid, layers, top, bottom, headMm } = column;
  const copy = createColumn({ grid, layers, top, bottom, headMm });
  copy.waterFraction.set(column.waterFraction);
  if (copy.paths !== null && column.paths !== null) takePaths(copy.paths, column.paths);
  copy.pondMm = column.pondMm;
  copy.stepH = column.stepH;
  return copy;
}

/** Takes the heads of an accepted step into the nodes' paths. */
function rememberHeads({ paths, layers, headMm }: Column): void {
  if (paths === null) return;
  forHystereticNodes(layers, (node, table) =>
    advancePath(paths, table, { node, headMm: at(headMm, node) }),
  );
}

/** Water in the column down to a depth (the whole of it when left out), standing water left out. */
export function storedMm(column: Column, toDepthMm = Number.POSITIVE_INFINITY): number {
  const { depthMm, widthMm } = column.grid;
  let sum = 0;
  let upperMm = 0;
  for (let i = 0; i < depthMm.length && upperMm < toDepthMm; i++) {
    const lowerMm = upperMm + at(widthMm, i);
    sum += at(column.waterFraction, i) * (Math.min(lowerMm, toDepthMm) - upperMm);
    upperMm = lowerMm;
  }
  return sum;
}

/** The iteration found no time step that converges: this sand's column says nothing. */
export class ColumnStuck extends RangeError {
  override name = 'ColumnStuck';
}

/**
 * Runs the column through a spell of steady weather, changing its state.
 *
 * One dimension, rigid sand, no air trapped by wetting, no vapour flow, no roots. Time steps follow
 * the ease of the iteration. What the surface cannot take stands on it up to the pond's depth and then runs off;
 * what the sand cannot bring up is not evaporated.
 *
 * @param column the column; its state is changed
 * @param spell hours (above 0), water and demand in mm/h (not below 0)
 * @param watch called after each step; answering true ends the run there
 * @returns the water that crossed the ends, mm
 * @throws RangeError on a negative rate; `ColumnStuck` when no time step converges
 */
export function runColumn(
  column: Column,
  spell: Spell,
  watch?: (moment: ColumnMoment, column: Column) => boolean,
): ColumnFlow {
  const { hours, waterMmPerH, demandMmPerH } = spell;
  if (!(hours >= 0 && waterMmPerH >= 0 && demandMmPerH >= 0)) {
    throw new RangeError(
      `runColumn: hours, water and demand must not be negative (got ${hours}, ${waterMmPerH}, ${demandMmPerH}); count dew as no demand`,
    );
  }
  const longestStepH = spell.longestStepH ?? 0.05;
  const flow: ColumnFlow = {
    waterMm: 0,
    evaporatedMm: 0,
    drainedMm: 0,
    runoffMm: 0,
    headInflowMm: 0,
    hours: 0,
    steps: 0,
  };
  const supplyMmPerH = waterMmPerH - demandMmPerH;
  // A jump of the weather makes the last step too bold: begin small again.
  let tryH = Math.min(column.stepH, 0.002);
  while (hours - flow.hours > 1e-12) {
    const leftH = hours - flow.hours;
    const stepH = leftH <= tryH * 1.001 ? leftH : Math.min(tryH, leftH / 2);
    const step = tryStep(column, { hours: stepH, supplyMmPerH });
    if (step === null) {
      tryH = stepH / 3;
      if (tryH < LEAST_STEP_H) {
        throw new ColumnStuck(
          `runColumn: no time step converged (got down to ${tryH} h); check the sand's parameters and the grid`,
        );
      }
      continue;
    }
    column.headMm.set(column.work.headMm);
    column.waterFraction.set(column.work.massFraction);
    column.pondMm = step.pondMm;
    rememberHeads(column);
    flow.hours += stepH;
    flow.steps++;
    flow.waterMm += waterMmPerH * stepH;
    flow.drainedMm += step.bottomMmPerH * stepH;
    let evaporationMmPerH = 0;
    if (column.top.kind === 'fixed_head') flow.headInflowMm += step.topMmPerH * stepH;
    else {
      // Below the supply: the surplus runs off. Above it: the sand gave less than the air asked.
      const short = step.topMmPerH - supplyMmPerH;
      evaporationMmPerH = short > 0 ? demandMmPerH - short : demandMmPerH;
      if (short < 0) flow.runoffMm -= short * stepH;
      flow.evaporatedMm += evaporationMmPerH * stepH;
    }
    if (step.iterations <= 4) tryH = Math.min(longestStepH, Math.max(tryH, stepH) * 1.4);
    else if (step.iterations >= 8) tryH = stepH * 0.7;
    column.stepH = Math.max(stepH, Math.min(tryH, longestStepH));
    const moment = {
      elapsedH: flow.hours,
      stepH,
      evaporationMmPerH,
      drainageMmPerH: step.bottomMmPerH,
    };
    if (watch?.(moment, column)) break;
  }
  return flow;
}
