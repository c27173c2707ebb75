/** What the colour of the surface can tell. */
export const SURFACES = ['dark', 'lightening', 'dry', 'puddle', 'wash'] as const;

export type Surface = (typeof SURFACES)[number];

/**
 * Part of the store at which a surface is first called lightening: eyes, light and sands differ, so a
 * look proves no more than holds for all of them. An assumption of this project.
 */
export const LEAST_EYE_FRACTION = 0.15;
export const MOST_EYE_FRACTION = 0.45;

/** A stretch of the store that a look places a bed in, as parts of what a full one holds. */
export interface StoreBand {
  leastFraction: number;
  mostFraction: number;
}

const BANDS: Readonly<Record<Surface, StoreBand | null>> = {
  dark: { leastFraction: LEAST_EYE_FRACTION, mostFraction: Number.POSITIVE_INFINITY },
  lightening: { leastFraction: 0, mostFraction: MOST_EYE_FRACTION },
  dry: { leastFraction: Number.NEGATIVE_INFINITY, mostFraction: 0 },
  // Water stands in the lowest spot: of the driest one it says what a dark surface says.
  puddle: { leastFraction: LEAST_EYE_FRACTION, mostFraction: Number.POSITIVE_INFINITY },
  // A wash tells of a flow over the surface, perhaps hours ago: nothing of the store.
  wash: null,
};

/**
 * What the colour of the surface proves of the store, whoever looked: a band and no number. Bands
 * overlap, since what one eye calls lightening is dark to another. Null where it proves nothing.
 */
export function bandOf(surface: Surface): StoreBand | null {
  return BANDS[surface];
}
