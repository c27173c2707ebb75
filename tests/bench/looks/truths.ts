import { KNOWN_SAND } from '../../../calc/looks/learn-bed.ts';
import { seedLayerStore } from '../../../calc/sand/bed-store.ts';
import { copyColumn, runColumn } from '../../../calc/sand/richards-column.ts';
import type { Column } from '../../../calc/sand/richards-step.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { sandClass } from '../../../calc/sand/sand-classes.ts';
import { type BedStates, bedStates } from '../../../calc/sand/seedbed-rehearsal.ts';
import { type Belief, DOSE_MM } from './twin.ts';

/** A bed as it really is: the numerical column of another sand than was thought, in another place. */
export interface Truth {
  name: string;
  states: BedStates;
  /** Drained overnight, watered, and half an hour on: what counts as full. */
  full: Column;
  exposureFraction: number;
}

/** Sands whose seedbed dries within a day: on the others a look cannot find a fault. */
export const TWIN_SANDS = ['coarse_open', 'loamy_open', 'medium_open', 'coarse_over_gravel'];
const STEP_H = 1 / 12;

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

/** Sands that were taken for another one: what it was thought to be, and what it is. */
const MISTAKEN: readonly (readonly [thought: string, is: string])[] = [
  ['medium_open', 'coarse_open'],
  ['coarse_open', 'medium_open'],
  ['loamy_open', 'coarse_over_gravel'],
  ['coarse_over_gravel', 'loamy_open'],
  ['loamy_open', 'coarse_open'],
  ['coarse_open', 'loamy_open'],
];

/**
 * A truth that is drawn: every other one stands where the air takes a quarter to a half more or less
 * than thought, the others are of another sand than thought. Each has its own small differences of
 * the sand besides: air entry and conductivity up to a tenth.
 */
export function drawnTruth(seed: number): Truth & { className: string } {
  const random = seeded(seed * 7919 + 13);
  const isPlace = seed % 2 === 0;
  const turn = Math.floor(seed / 2);
  const own = TWIN_SANDS[turn % TWIN_SANDS.length] ?? '';
  const [className, isClass] = isPlace
    ? [own, own]
    : (MISTAKEN[turn % MISTAKEN.length] ?? [own, own]);
  const off = 1.25 + 0.25 * random();
  const isMore = random() < 0.5;
  const exposureFraction = isPlace ? (isMore ? off : 1 / off) : 1;
  const spread = (most: number) => Math.exp((2 * random() - 1) * Math.log(most));
  const { bed } = sandClass(isClass);
  const sand = {
    ...bed.sand,
    alphaPerCm: bed.sand.alphaPerCm * spread(1.1),
    saturatedMmPerH: bed.sand.saturatedMmPerH * spread(1.1),
  };
  const states = bedStates({ ...bed, sand });
  const full = copyColumn(states.drained);
  runColumn(full, { hours: STEP_H, waterMmPerH: DOSE_MM / STEP_H, demandMmPerH: 0 });
  runColumn(full, { hours: 0.5, waterMmPerH: 0, demandMmPerH: 0 });
  return {
    name: isPlace
      ? `${className}, loss x ${exposureFraction.toFixed(2)}`
      : `${className}, is ${isClass}`,
    className,
    states,
    full,
    exposureFraction,
  };
}

/**
 * What is thought of a bed of this class: its whole model after a report, or the plain store of an
 * assumed sand, whose looks are held against the whole model of its class all the same.
 */
export function beliefOf(className: string, basis: 'lab_report' | 'class_default'): Belief {
  const known = sandClassModels[className];
  if (known === undefined) throw new Error(`no such sand class: ${className}`);
  return {
    store: seedLayerStore(known.model, basis),
    seenStore: seedLayerStore(known.model, 'lab_report'),
    beginning: KNOWN_SAND,
  };
}
