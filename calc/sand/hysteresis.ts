import { at as checkedAt } from '../checked-entry.ts';
import type { DryingTable, HydraulicArrays } from './hydraulic-properties.ts';

/** A name of its own: where tests wrap modules, an imported one is looked up again at every call. */
const at = checkedAt;

/** Turning points that a node remembers, the ends of the main curves included. */
const MOST_TURNS = 20;
/** A head that goes back by less has not turned: the iteration leaves that much open. */
const CHATTER_MM = 0.02;
const CHATTER_FRACTION = 5e-4;
/** A head this near to where its loop closes has closed it: else loops that settle pile up. */
const CLOSING_MM = 1e-3;
const CLOSING_FRACTION = 1e-5;
/** Between two heads whose main water contents differ by less than this a path is level. */
const LEVEL_FRACTION = 1e-14;

/**
 * What each node of a hysteretic column remembers: the heads at which it turned, oldest first, with
 * the water content there, and last the furthest point of the path that it is on. The oldest two are
 * the ends of the main curves: the dry end, and the wet end at a head of 0. So turning points with an
 * even number are dry ones, from which wetting paths begin, and odd ones wet.
 *
 * From the furthest point a node goes on "ahead", or "back" on a path that begins there. Every path is
 * a stretched main curve, theta = offset + factor theta_main; these two are kept ready for the
 * iteration.
 */
export interface ScanningPaths {
  turns: Int32Array;
  turnHeadMm: Float64Array;
  turnWaterFraction: Float64Array;
  /**
   * Two entries a node, ahead and back: the path, and the head at which its loop closes. A path back
   * whose factor is not a number has still to be worked out: most nodes never turn.
   */
  pathFactor: Float64Array;
  pathOffsetFraction: Float64Array;
  pathEndMm: Float64Array;
}

/** A path of one node. */
interface Path {
  factor: number;
  offsetFraction: number;
  endMm: number;
  isWetting: boolean;
}

/** Room for the paths of so many nodes; each is begun by `startDrained`. */
export function createPaths(size: number): ScanningPaths {
  return {
    turns: new Int32Array(size),
    turnHeadMm: new Float64Array(size * MOST_TURNS),
    turnWaterFraction: new Float64Array(size * MOST_TURNS),
    pathFactor: new Float64Array(size * 2),
    pathOffsetFraction: new Float64Array(size * 2),
    pathEndMm: new Float64Array(size * 2),
  };
}

/** Puts a node on the main drying curve: drained from saturation to its head. */
export function startDrained(
  paths: ScanningPaths,
  table: DryingTable,
  { node, headMm }: { node: number; headMm: number },
): void {
  startSaturated(paths, table, node);
  advancePath(paths, table, { node, headMm });
}

function startSaturated(paths: ScanningPaths, table: DryingTable, node: number): void {
  const first = node * MOST_TURNS;
  paths.turnHeadMm[first] = Number.NEGATIVE_INFINITY;
  paths.turnWaterFraction[first] = mainFraction(table, Number.NEGATIVE_INFINITY, false);
  paths.turnHeadMm[first + 1] = 0;
  paths.turnWaterFraction[first + 1] = table.saturatedFraction;
  paths.turns[node] = 2;
  readyAhead(paths, table, node);
}

/** Takes over what another column's nodes remember. */
export function takePaths(paths: ScanningPaths, from: ScanningPaths): void {
  paths.turns.set(from.turns);
  paths.turnHeadMm.set(from.turnHeadMm);
  paths.turnWaterFraction.set(from.turnWaterFraction);
  paths.pathFactor.set(from.pathFactor);
  paths.pathOffsetFraction.set(from.pathOffsetFraction);
  paths.pathEndMm.set(from.pathEndMm);
}

/** Water content of a main curve. */
function mainFraction(table: DryingTable, headMm: number, isWetting: boolean): number {
  const { waterFraction: water, saturatedFraction: thetaS, leastSuctionMm } = table;
  const suctionMm = isWetting ? -headMm * table.wettingAlphaFactor : -headMm;
  if (suctionMm <= 0) return thetaS;
  if (suctionMm <= leastSuctionMm) {
    return thetaS - (suctionMm / leastSuctionMm) * (thetaS - at(water, 0));
  }
  const last = water.length - 1;
  const place = (Math.log(suctionMm) - table.startLog) / table.stepLog;
  if (place >= last) return at(water, last);
  const j = place | 0;
  const thetaJ = at(water, j);
  return thetaJ + (place - j) * (at(water, j + 1) - thetaJ);
}

/**
 * The path that begins at a turning point o and closes its loop at the one before it, t. With `main`
 * the main curve of the path's direction,
 *
 *     theta(h) = theta_t + (theta_o - theta_t) (main(h) - main(h_t)) / (main(h_o) - main(h_t))
 *
 * which meets both points, so that small doses and drying over and over neither pump nor drift.
 *
 * Source: Parker & Lenhard 1987, Water Resour. Res. 23:2187-2196; Lenhard, Parker & Kaluarachchi
 *   1991 (from memory).
 */
function pathFrom(
  paths: ScanningPaths,
  table: DryingTable,
  { node, origin }: { node: number; origin: number },
): Path {
  const o = node * MOST_TURNS + origin;
  const isWetting = origin % 2 === 0;
  if (origin === 0) return { factor: 1, offsetFraction: 0, endMm: 0, isWetting };
  const endMm = at(paths.turnHeadMm, o - 1);
  if (origin === 1) return { factor: 1, offsetFraction: 0, endMm, isWetting };
  const thetaT = at(paths.turnWaterFraction, o - 1);
  const mainT = mainFraction(table, endMm, isWetting);
  const across = mainFraction(table, at(paths.turnHeadMm, o), isWetting) - mainT;
  const isLevel = Math.abs(across) < LEVEL_FRACTION;
  const factor = isLevel ? 0 : (at(paths.turnWaterFraction, o) - thetaT) / across;
  return { factor, offsetFraction: thetaT - factor * mainT, endMm, isWetting };
}

/** The path ahead of the furthest point, worked out once for all the iterations to come. */
function readyAhead(paths: ScanningPaths, table: DryingTable, node: number): void {
  const last = (paths.turns[node] ?? 0) - 1;
  readyPath(paths, table, { node, origin: last - 1, at: node * 2 });
  paths.pathFactor[node * 2 + 1] = Number.NaN;
}

function readyPath(
  paths: ScanningPaths,
  table: DryingTable,
  { node, origin, at: entry }: { node: number; origin: number; at: number },
): void {
  const path = pathFrom(paths, table, { node, origin });
  paths.pathFactor[entry] = path.factor;
  paths.pathOffsetFraction[entry] = path.offsetFraction;
  paths.pathEndMm[entry] = path.endMm;
}

/** Where the path begins that a node is on at a head: loops closed on the way there are forgotten. */
function originAt(paths: ScanningPaths, node: number, headMm: number): number {
  const first = node * MOST_TURNS;
  const last = (paths.turns[node] ?? 0) - 1;
  const furthestMm = at(paths.turnHeadMm, first + last);
  const isAhead = last % 2 === 1 ? headMm > furthestMm : headMm < furthestMm;
  let origin = isAhead ? last - 1 : last;
  while (origin >= 2) {
    const endMm = at(paths.turnHeadMm, first + origin - 1);
    if (origin % 2 === 0 ? headMm <= endMm : headMm >= endMm) break;
    origin -= 2;
  }
  return origin;
}

/**
 * Takes the head at the end of an accepted step into a node's memory: further along its path, past
 * the turning points of loops that closed, or back on a new path.
 */
export function advancePath(
  paths: ScanningPaths,
  table: DryingTable,
  { node, headMm }: { node: number; headMm: number },
): void {
  const last = (paths.turns[node] ?? 0) - 1;
  if (headMm >= 0) {
    if (last !== 1) startSaturated(paths, table, node);
    return;
  }
  const first = node * MOST_TURNS;
  const furthestMm = at(paths.turnHeadMm, first + last);
  const backMm = last % 2 === 1 ? furthestMm - headMm : headMm - furthestMm;
  if (backMm === 0 || (backMm > 0 && backMm <= CHATTER_MM - CHATTER_FRACTION * headMm)) return;
  const origin = originAt(paths, node, headMm);
  const isClosing =
    origin >= 2 &&
    Math.abs(headMm - at(paths.turnHeadMm, first + origin - 1)) <=
      CLOSING_MM - CLOSING_FRACTION * headMm;
  if (origin === last - 1 && !isClosing) {
    // The common case: further along the same path.
    paths.turnHeadMm[first + last] = headMm;
    paths.turnWaterFraction[first + last] =
      at(paths.pathOffsetFraction, node * 2) +
      at(paths.pathFactor, node * 2) * mainFraction(table, headMm, origin % 2 === 0);
    paths.pathFactor[node * 2 + 1] = Number.NaN;
    return;
  }
  if (isClosing) paths.turns[node] = origin;
  else {
    const path = pathFrom(paths, table, { node, origin });
    const main = mainFraction(table, headMm, path.isWetting);
    const furthest = origin + 1 === MOST_TURNS ? mergeAlike(paths, node) : origin + 1;
    paths.turnHeadMm[first + furthest] = headMm;
    paths.turnWaterFraction[first + furthest] = path.offsetFraction + path.factor * main;
    paths.turns[node] = furthest + 1;
  }
  readyAhead(paths, table, node);
}

/**
 * Forgets one of two loops that are most alike, one within the other, of a node that remembers no
 * more: never the ends of the main curves, nor the loop that it is on.
 *
 * @returns the number of its next turning point
 */
function mergeAlike(paths: ScanningPaths, node: number): number {
  const first = node * MOST_TURNS;
  const thetaAt = (turn: number) => at(paths.turnWaterFraction, first + turn);
  let alike = 2;
  let least = Number.POSITIVE_INFINITY;
  for (let turn = 2; turn + 1 <= MOST_TURNS - 4; turn++) {
    const before = Math.abs(thetaAt(turn - 1) - thetaAt(turn + 1));
    const after = Math.abs(thetaAt(turn) - thetaAt(turn + 2));
    if (Math.min(before, after) >= least) continue;
    least = Math.min(before, after);
    alike = turn;
  }
  const [from, to, end] = [first + alike + 2, first + alike, first + MOST_TURNS];
  paths.turnHeadMm.copyWithin(to, from, end);
  paths.turnWaterFraction.copyWithin(to, from, end);
  return MOST_TURNS - 2;
}

/**
 * Water content, capacity and conductivity of the nodes from `from` up to `to` (not included), each on
 * its own paths. What the pores carry hangs on the water content alone, K(Se): it is read where the
 * main drying curve holds as much. What films carry hangs on the suction.
 */
export function fillOnPaths(
  nodes: HydraulicArrays,
  { table, paths }: { table: DryingTable; paths: ScanningPaths },
  { from, to }: { from: number; to: number },
): void {
  const { headMm: hs, waterFraction: thetas, capacityPerMm: C, conductivityMmPerH: K } = nodes;
  const { waterFraction: water, poresMmPerH: pores, filmsMmPerH: films } = table;
  const {
    startLog,
    stepLog,
    leastSuctionMm,
    saturatedFraction: thetaS,
    saturatedMmPerH: Ks,
  } = table;
  const { turns, turnHeadMm, pathFactor, pathOffsetFraction, pathEndMm } = paths;
  const last = water.length - 1;
  const theta0 = at(water, 0);
  const poresFull = films === null ? Ks : Ks - at(films, 0);
  const wettingLog = Math.log(table.wettingAlphaFactor) / stepLog;
  for (let i = from; i < to; i++) {
    const h = at(hs, i);
    if (h >= 0) {
      thetas[i] = thetaS;
      C[i] = 0;
      K[i] = Ks;
      continue;
    }
    const turn = (turns[i] ?? 0) - 1;
    const furthestMm = at(turnHeadMm, i * MOST_TURNS + turn);
    const isWetEnd = turn % 2 === 1;
    const isAhead = isWetEnd ? h > furthestMm : h < furthestMm;
    let isWetting = isAhead === isWetEnd;
    const ready = isAhead ? i * 2 : i * 2 + 1;
    let factor = at(pathFactor, ready);
    if (Number.isNaN(factor)) {
      readyPath(paths, table, { node: i, origin: turn, at: ready });
      factor = at(pathFactor, ready);
    }
    let offset = at(pathOffsetFraction, ready);
    const endMm = at(pathEndMm, ready);
    if (isWetting ? h > endMm : h < endMm) {
      const path = pathFrom(paths, table, { node: i, origin: originAt(paths, i, h) });
      factor = path.factor;
      offset = path.offsetFraction;
      isWetting = path.isWetting;
    }
    const suctionMm = -h;
    // Places in the table of the head itself, and of what the wetting curve reads there.
    const place = (Math.log(suctionMm) - startLog) / stepLog;
    const mainPlace = isWetting ? place + wettingLog : place;
    let main: number;
    if (mainPlace <= 0) {
      const steepness = (thetaS - theta0) / leastSuctionMm;
      const stretch = isWetting ? table.wettingAlphaFactor : 1;
      main = thetaS - steepness * stretch * suctionMm;
      C[i] = factor * steepness * stretch;
    } else if (mainPlace >= last) {
      main = at(water, last);
      C[i] = 0;
    } else {
      const j = mainPlace | 0;
      const thetaJ = at(water, j);
      const rise = at(water, j + 1) - thetaJ;
      main = thetaJ + (mainPlace - j) * rise;
      C[i] = (-factor * rise) / (stepLog * suctionMm);
    }
    const theta = offset + factor * main;
    thetas[i] = theta;
    let carried: number;
    if (theta >= theta0) {
      const part = thetaS > theta0 ? (thetaS - theta) / (thetaS - theta0) : 0;
      carried = poresFull - part * (poresFull - at(pores, 0));
    } else {
      // A scanning path lies between the main curves, and so does the place with as much water.
      let low = Math.min(Math.max(place | 0, 0), last - 1);
      let high = Math.min(Math.max((place + wettingLog + 1) | 0, low + 1), last);
      if (at(water, low + 1) < theta) high = low + 1;
      while (high - low > 1) {
        const middle = (low + high) >> 1;
        if (at(water, middle) >= theta) low = middle;
        else high = middle;
      }
      const thetaLow = at(water, low);
      const fall = thetaLow - at(water, high);
      const part = fall > 0 ? Math.min(1, Math.max(0, (thetaLow - theta) / fall)) : 0;
      carried = at(pores, low) + part * (at(pores, high) - at(pores, low));
    }
    if (films !== null) carried += filmsAt(films, place);
    K[i] = carried;
  }
}

function filmsAt(films: Float64Array, place: number): number {
  const within = Math.min(Math.max(place, 0), films.length - 1 - 1e-9);
  const j = within | 0;
  const KJ = at(films, j);
  return KJ + (within - j) * (at(films, j + 1) - KJ);
}
