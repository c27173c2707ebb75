/** One opening of one station. */
export interface Run {
  bedId: string;
  stationId: string;
  startMs: number;
  runS: number;
  rotations: number;
  /** Depth that leaves the nozzles. */
  grossMm: number;
  /** Depth that reaches the seedbed after drift and evaporation in flight. */
  netMm: number;
  /** Number of the bed's cycle that this run belongs to, from 1. */
  cycle: number;
}
