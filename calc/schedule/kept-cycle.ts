import type { Run } from './run.ts';

/** A cycle of the plan in force that has begun or is about to: it stands as it is. */
export interface KeptCycle {
  bedId: string;
  startMs: number;
  endMs: number;
  grossMm: number;
  netMm: number;
  rotations: number;
  driftLossFraction: number;
  runs: readonly Run[];
}
