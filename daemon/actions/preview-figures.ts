/** A bed's day before and after a change. */
export interface BedPreview {
  id: string;
  name: string;
  changed: boolean;
  before: BedFigures | null;
  after: BedFigures;
}

/** Figures of what is still to come. */
export interface BedFigures {
  cycles: number;
  runMin: number;
  netMm: number;
  percentOfLoss: number | null;
  /** Lowest store in the hour in which the site loses most. */
  lowestAtHottestMm: number;
  lowestStoreMm: number;
  minutesBelowDryLimit: number;
  drainedMm: number;
  words: { cycles: string; minutes: string; net: string; percentOfLoss: string; lowest: string };
}

/** What a change would do. Nothing of it is kept. */
export interface Preview {
  /** What the change says, in words. */
  line: string;
  /** Which beds are dry for how long before and after it, in words, the harm first. */
  dry: string[];
  /** The hour in which the site loses most, after the change. */
  hottestHourMs: number;
  beds: BedPreview[];
  /** Sums over the beds. */
  before: { cycles: number; runMin: number; shortages: string[] } | null;
  after: { cycles: number; runMin: number; shortages: string[] };
  /** One line a bed that changes. */
  lines: string[];
}
