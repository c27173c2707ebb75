/** What the colour of the surface can tell. */
export const SURFACES = ['dark', 'lightening', 'dry', 'puddle', 'wash'] as const;

export type Surface = (typeof SURFACES)[number];

/** Part of the store below which the surface begins to lighten. An assumption of this project. */
export const LIGHTENING_FRACTION = 0.3;

/** A stretch of the store that a look places a bed in, as parts of what a full one holds. */
export interface StoreBand {
  leastFraction: number;
  mostFraction: number;
}

const BANDS: Readonly<Record<Surface, StoreBand | null>> = {
  dark: { leastFraction: LIGHTENING_FRACTION, mostFraction: Number.POSITIVE_INFINITY },
  lightening: { leastFraction: 0, mostFraction: LIGHTENING_FRACTION },
  dry: { leastFraction: Number.NEGATIVE_INFINITY, mostFraction: 0 },
  // Standing water: full, whatever the store was thought to be.
  puddle: { leastFraction: 1, mostFraction: Number.POSITIVE_INFINITY },
  // A wash tells of a flow over the surface, perhaps hours ago: nothing of the store.
  wash: null,
};

/**
 * Where the store stands by the colour of the surface: a look is ordinal, it gives a band and no
 * number. Null where it tells nothing of the store.
 */
export function bandOf(surface: Surface): StoreBand | null {
  return BANDS[surface];
}
