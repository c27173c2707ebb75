import { entryOf } from '../checked-entry.ts';
import {
  type BedProfile,
  type DryLimit,
  drainedColumn,
  dryLimitFromDrained,
  dryWatch,
  fullColumn,
  runUntilDry,
} from './bed-column.ts';
import { copyColumn, runColumn, type Spell, storedMm } from './richards-column.ts';
import type { Column } from './richards-step.ts';

/** One run of the column from which the planning model learns, looked at every five minutes. */
export interface TrainingRun {
  name: string;
  /** Spells of at most five minutes. */
  spells: readonly Spell[];
  /** The bed is judged from here on (after the last water). */
  fromH: number;
  /** Null when the bed was not dry at the end. */
  dryAtH: number | null;
  /** Water above residual in each layer at the start and after each spell that was run. */
  layersMm: number[][];
  /** Mean evaporation during each spell that was run, mm/h. */
  evaporationMmPerH: number[];
}

/** A bed's column with its three states and its limit. */
export interface BedStates {
  full: Column;
  drained: Column;
  dry: Column;
  /** Dried at 0.4 mm/h from full by half of what evaporates until the limit. */
  half: Column;
  limit: DryLimit;
}

const LOOK_H = 1 / 12;
/** Two nights and the day between: beds that last longer are not told apart. */
const LONGEST_H = 30;
const RATE_MM_PER_H = 18;
const DRYING_MM_PER_H = 0.5;
const HALVING_MM_PER_H = 0.4;

/** The column of a bed full, after a night, half dried, and dried to its limit (500 h at most). */
export function bedStates(bed: BedProfile, seedLayerMm = 8): BedStates {
  const full = fullColumn(bed);
  const drained = drainedColumn(full);
  const limit = dryLimitFromDrained(drained, { seedLayerMm });
  const dry = copyColumn(drained);
  const spell = { hours: 500, waterMmPerH: 0, demandMmPerH: DRYING_MM_PER_H };
  runUntilDry(dry, [spell], { limit });
  const slow = { ...spell, demandMmPerH: HALVING_MM_PER_H };
  const whole = runUntilDry(copyColumn(full), [slow], { limit })?.hours ?? slow.hours;
  const half = copyColumn(full);
  runColumn(half, { ...slow, hours: whole / 2 });
  return { full, drained, dry, half, limit };
}

/** Water above residual between the given depths, from the surface down. */
export function waterInLayers(column: Column, bottomsMm: readonly number[]): number[] {
  const residual = entryOf(column.layers, 0).soil.residualFraction;
  let above = 0;
  return bottomsMm.map((bottomMm) => {
    const sum = Math.max(0, storedMm(column, bottomMm) - residual * bottomMm);
    const layer = Math.max(0, sum - above);
    above = sum;
    return layer;
  });
}

/** Divides spells into pieces of at most five minutes. */
export function inFiveMinutes(spells: readonly Spell[]): Spell[] {
  return spells.flatMap((spell) => {
    const parts = Math.max(1, Math.ceil(spell.hours / LOOK_H - 1e-9));
    return Array.from({ length: parts }, () => ({ ...spell, hours: spell.hours / parts }));
  });
}

function steady(demandMmPerH: number, hours = LONGEST_H): Spell[] {
  return [{ hours, waterMmPerH: 0, demandMmPerH }];
}

function dose(mm: number, demandMmPerH: number): Spell {
  return { hours: mm / RATE_MM_PER_H, waterMmPerH: RATE_MM_PER_H, demandMmPerH };
}

/** Hourly demand of an invented clear day: a half sine from 06:00 to 18:00 with this peak. */
export function sineDay(peakMmPerH: number, startHour: number, hours: number): Spell[] {
  return Array.from({ length: hours }, (_, i) => {
    const mid = ((startHour + i) % 24) + 0.5;
    const demandMmPerH = peakMmPerH * Math.max(0, Math.sin((Math.PI * (mid - 6)) / 12));
    return { hours: 1, waterMmPerH: 0, demandMmPerH };
  });
}

/** Doses at the beginning of each of so many hours or pairs of hours, and no more rest after the last. */
function repeated(
  { mm, count, everyH }: { mm: number; count: number; everyH: number },
  demandMmPerH: number,
): Spell[] {
  const one = dose(mm, demandMmPerH);
  const rest = { hours: everyH - one.hours, waterMmPerH: 0, demandMmPerH };
  return Array.from({ length: count }, (_, i) => (i + 1 < count ? [one, rest] : [one])).flat();
}

/** What is run: steady demands from full and drained, doses on dry and half-dry sand, sine days. */
function programme(states: BedStates): { name: string; from: Column; spells: Spell[] }[] {
  const { full, drained, dry, half } = states;
  return [
    ...[0.1, 0.3, 0.8].map((q) => ({ name: `full ${q}`, from: full, spells: steady(q) })),
    ...[0.15, 0.5].map((q) => ({ name: `drained ${q}`, from: drained, spells: steady(q) })),
    ...[
      [0.5, 0.3],
      [0.7, 0.7],
      [1.3, 0.25],
      [1.5, 1],
      [2.5, 0.7],
      [2.5, 0.12],
      [3, 1],
    ].map(([mm = 0, q = 0]) => ({
      name: `dry + ${mm} at ${q}`,
      from: dry,
      spells: [dose(mm, q), ...steady(q)],
    })),
    ...[
      [0.7, 0.8],
      [2, 0.4],
    ].map(([mm = 0, q = 0]) => ({
      name: `half + ${mm} at ${q}`,
      from: half,
      spells: [dose(mm, q), ...steady(q)],
    })),
    ...[
      { name: 'dry + 4 x 1.2', from: dry, doses: { mm: 1.2, count: 4, everyH: 2 }, q: 0.55 },
      { name: 'dry + 10 x 1', from: dry, doses: { mm: 1, count: 10, everyH: 1 }, q: 0.8 },
      { name: 'half + 10 x 1', from: half, doses: { mm: 1, count: 10, everyH: 1 }, q: 0.35 },
      {
        name: 'drained + 12 x 0.7',
        from: drained,
        doses: { mm: 0.7, count: 12, everyH: 1 },
        q: 0.5,
      },
    ].map(({ name, from, doses, q }) => ({
      name,
      from,
      spells: [...repeated(doses, q), ...steady(q)],
    })),
    { name: 'full, sine day', from: full, spells: sineDay(0.9, 6, 60) },
    {
      name: 'dry + 2, sine day from noon',
      from: dry,
      spells: [dose(2, 0.9), ...sineDay(0.9, 12, 48)],
    },
  ];
}

/**
 * The handful of column runs from which a bed's planning model is found. Each is run past the moment
 * of drying for a while, because what the sand still gives then shows its supply.
 */
export function trainingRuns(states: BedStates, bottomsMm: readonly number[]): TrainingRun[] {
  const { limit } = states;
  return programme(states).map(({ name, from, spells }) => {
    const pieces = inFiveMinutes(spells);
    const lastWet = pieces.findLastIndex((piece) => piece.waterMmPerH > 0);
    const fromH = pieces.slice(0, lastWet + 1).reduce((sum, piece) => sum + piece.hours, 0);
    const column = copyColumn(from);
    const layersMm = [waterInLayers(column, bottomsMm)];
    const evaporationMmPerH: number[] = [];
    let hours = 0;
    let dryAtH: number | null = null;
    let stopH = Number.POSITIVE_INFINITY;
    for (const piece of pieces) {
      if (hours > stopH) break;
      const dry = dryWatch(column, piece, { limit, fromH, begunH: hours });
      const flow = runColumn(column, { longestStepH: 0.03, ...piece }, (moment) => {
        dryAtH ??= dry(moment)?.hours ?? null;
        return false;
      });
      if (dryAtH !== null) stopH = dryAtH + Math.min(2, 0.5 * (dryAtH - fromH) + 0.3);
      hours += piece.hours;
      layersMm.push(waterInLayers(column, bottomsMm));
      evaporationMmPerH.push(flow.evaporatedMm / piece.hours);
    }
    return { name, spells: pieces, fromH, dryAtH, layersMm, evaporationMmPerH };
  });
}
