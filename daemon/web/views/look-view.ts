/** What a person saw on a bed, as the page sends it. What was not looked at is left out. */
export interface LookBody {
  bedId: string;
  surface?: 'dark' | 'lightening' | 'dry' | 'puddle' | 'wash';
  coverFraction?: number;
  leafMm?: number;
  /** Volume of water in a volume of sand, with the depth of the reading. */
  probeFraction?: number;
  probeDepthMm?: number;
  note?: string;
  who: string;
}

/** A look that was kept: what it says and what it changed, one sentence each. */
export interface LookDoneView {
  lookId: number;
  lines: string[];
}
