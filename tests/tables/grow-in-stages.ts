import type { StageName } from '../../calc/growth/stages.ts';

/** A row of the trade's table: least and most. */
export interface StageRow {
  cyclesPerDay: [number, number];
  doseMm: [number, number];
  depthMm: [number, number];
  /** Part of the ground that shows green when the stage begins and when it ends. */
  coverFraction: [number, number];
}

/**
 * How seeded greens on sand are watered from stage to stage: common practice, no trial fixes a
 * number. Cover is what a person is told to look for at either end of a stage: a haze of green, half
 * of the area, 80 to 90 %, 90 to 95 %.
 */
export const GROW_IN_STAGES: Readonly<Record<StageName, StageRow>> = {
  germination: {
    cyclesPerDay: [4, 8],
    doseMm: [0.5, 1.5],
    depthMm: [6, 12],
    coverFraction: [0, 0],
  },
  emergence: { cyclesPerDay: [3, 6], doseMm: [1, 2], depthMm: [12, 25], coverFraction: [0, 0.5] },
  tillering: {
    cyclesPerDay: [2, 4],
    doseMm: [2, 3],
    depthMm: [25, 50],
    coverFraction: [0.5, 0.8],
  },
  first_mow: {
    cyclesPerDay: [1, 2],
    doseMm: [3, 5],
    depthMm: [50, 75],
    coverFraction: [0.8, 0.9],
  },
  // Nightly or on alternate nights.
  knitting: {
    cyclesPerDay: [0.5, 1],
    doseMm: [4, 8],
    depthMm: [75, 150],
    coverFraction: [0.9, 0.95],
  },
};
