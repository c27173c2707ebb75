import { drawnOfClass } from '../../../calc/sand/possible-sands.ts';
import { sandClass } from '../../../calc/sand/sand-classes.ts';
import type { BedSand } from '../../../calc/schedule/site.ts';
import { seeded } from '../../seeded.ts';
import { type Known, sandKnown } from '../season/known-sands.ts';
import {
  type PlaceWeather,
  placedWindows,
  type SeasonCase,
  seasonCase,
} from '../season/season-case.ts';

/** Beds that the figures are told of, and others on which choices were made. */
const REPORT_SEED = 90_000;
const TUNE_SEED = 30_000;
/** A bed in a wind gap or in shade loses by this much more or less than its config says, at most. */
const GREATEST_LOSS_FACTOR = 1.35;

/** A bed as it really is, and what may be known of it. */
export interface DrawnBed {
  name: string;
  seed: number;
  one: SeasonCase;
  sandBy(known: Known): BedSand;
}

/**
 * Beds whose sand is drawn from the range of a class and followed on its wetted curve, class after
 * class and window after window. Every other one loses more or less than anyone has told, up to a
 * third; the air of the others is as told.
 */
export function drawnBeds(
  sources: readonly PlaceWeather[],
  asked: { classes: readonly string[]; truths: number; isTuning: boolean },
): DrawnBed[] {
  const windows = placedWindows(sources);
  return Array.from({ length: asked.truths }, (_, index) => {
    const turn = Math.floor(index / asked.classes.length);
    const place = windows[(index + turn) % windows.length];
    const standIn = sandClass(asked.classes[index % asked.classes.length] ?? '');
    if (place === undefined) throw new Error('no weather to live in');
    const seed = (asked.isTuning ? TUNE_SEED : REPORT_SEED) + 97 * index;
    const random = seeded(seed);
    const truth = drawnOfClass(standIn, random);
    const off = Math.exp((2 * random() - 1) * Math.log(GREATEST_LOSS_FACTOR));
    const lossFactor = index % 2 === 0 ? 1 : off;
    const bed = { ...standIn.bed, sand: truth.real };
    const one = seasonCase(place.config, place.source, {
      sand: standIn.key,
      bed,
      window: place.window,
    });
    return {
      name: `${standIn.key}, ${place.window.kind}, loss x ${lossFactor.toFixed(2)}`,
      seed,
      one: { ...one, trial: withLoss(one.trial, lossFactor) },
      sandBy: (known) => sandKnown(known, standIn, truth.reported),
    };
  });
}

function withLoss(trial: SeasonCase['trial'], factor: number): SeasonCase['trial'] {
  const hours = trial.hours.map((hour) => ({
    ...hour,
    demandMmPerH: hour.demandMmPerH * factor,
  }));
  return { ...trial, hours };
}
