/** What a person saw on a bed, as far as records tell it. */
export interface LookRecord {
  bedId: string;
  seenMs: number;
  who: string;
  surface: string | null;
  coverFraction: number | null;
  leafMm: number | null;
  rootMm: number | null;
  probeFraction: number | null;
  probeDepthMm: number | null;
  photo: string | null;
  note: string | null;
  /** Taken back later. */
  isUndone: boolean;
}
