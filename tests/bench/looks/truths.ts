import { ASSUMED_SAND, KNOWN_SAND } from '../../../calc/looks/learn-bed.ts';
import { seedLayerStore } from '../../../calc/sand/bed-store.ts';
import { runUntilDry } from '../../../calc/sand/dry-limit.ts';
import { copyColumn, runColumn } from '../../../calc/sand/richards-column.ts';
import type { Column } from '../../../calc/sand/richards-step.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { sandClass } from '../../../calc/sand/sand-classes.ts';
import { type BedStates, bedStates } from '../../../calc/sand/seedbed-rehearsal.ts';
import type { SandBasis } from '../../../calc/sand/seedbed-store.ts';
import { type Belief, DOSE_MM } from './twin.ts';

/** A bed as it really is: the numerical column of another sand than was thought, in another place. */
export interface Truth {
  name: string;
  states: BedStates;
  /** Drained overnight, then watered: what a cycle brings about. */
  watered: Column;
  /** The same half an hour later: what counts as full. */
  full: Column;
  exposureFraction: number;
  /** Hours until the watered bed is dry under a demand, by its key kept. */
  hoursOf(key: string, demandAt: (step: number) => number): number;
}

/** Sands whose seedbed dries within a day: on the others a look cannot find a fault. */
export const TWIN_SANDS = ['coarse_open', 'loamy_open', 'medium_open', 'coarse_over_gravel'];
const STEP_H = 1 / 12;
const LONGEST_H = 24;

/** A seeded generator of numbers from 0 to below 1 (mulberry32, public domain). */
export function seeded(seed: number): () => number {
  let a = seed >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/**
 * A truth that is drawn: every other one stands where the air takes a quarter to a half more or less,
 * the others are of a sand whose air enters at a fifth to two fifths more or less suction, with its
 * exponent and conductivity a little off as well.
 */
export function drawnTruth(seed: number): Truth & { className: string } {
  const random = seeded(seed * 7919 + 13);
  const className = TWIN_SANDS[Math.floor(seed / 2) % TWIN_SANDS.length] ?? '';
  const { bed } = sandClass(className);
  const either = (least: number, most: number) => {
    const off = least + (most - least) * random();
    return random() < 0.5 ? off : 1 / off;
  };
  const isPlace = seed % 2 === 0;
  const exposureFraction = isPlace ? either(1.25, 1.5) : 1;
  const sand = isPlace
    ? bed.sand
    : {
        ...bed.sand,
        alphaPerCm: bed.sand.alphaPerCm * either(1.2, 1.4),
        n: bed.sand.n * either(1, 1.05),
        saturatedMmPerH: bed.sand.saturatedMmPerH * either(1, 1.3),
      };
  const states = bedStates({ ...bed, sand });
  const watered = copyColumn(states.drained);
  runColumn(watered, { hours: STEP_H, waterMmPerH: DOSE_MM / STEP_H, demandMmPerH: 0 });
  const full = copyColumn(watered);
  runColumn(full, { hours: 0.5, waterMmPerH: 0, demandMmPerH: 0 });
  const kept = new Map<string, number>();
  return {
    name: `${className}, ${isPlace ? `exposure ${exposureFraction.toFixed(2)}` : `air entry x ${(bed.sand.alphaPerCm / sand.alphaPerCm).toFixed(2)}`}`,
    className,
    states,
    watered,
    full,
    exposureFraction,
    hoursOf(key, demandAt) {
      const known = kept.get(key);
      if (known !== undefined) return known;
      const spells = Array.from({ length: LONGEST_H / STEP_H }, (_, step) => ({
        hours: STEP_H,
        waterMmPerH: 0,
        demandMmPerH: demandAt(step) * exposureFraction,
      }));
      const hours =
        runUntilDry(copyColumn(watered), spells, { limit: states.limit })?.hours ?? LONGEST_H;
      kept.set(key, hours);
      return hours;
    },
  };
}

/** What is thought of a bed of this class: its whole model after a report, or the plain store. */
export function beliefOf(className: string, basis: SandBasis): Belief {
  const known = sandClassModels[className];
  if (known === undefined) throw new Error(`no such sand class: ${className}`);
  return {
    store: seedLayerStore(known.model, basis),
    beginning: basis === 'lab_report' ? KNOWN_SAND : ASSUMED_SAND,
  };
}
