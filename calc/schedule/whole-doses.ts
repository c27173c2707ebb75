import type { StoreState } from '../sand/seedbed-store.ts';
import { stateBefore } from './balance-parts.ts';
import { blockAt, type Candidate, type PlacementBed, type Search } from './start-search.ts';

/** Keeps a depth that is a whole number of rotations from losing one to rounding of the machine. */
const SLACK_MM = 1e-8;

/** A dose without its start. */
export type WholeDose = Pick<Candidate, 'block' | 'driftLossFraction'>;

/**
 * Every dose of whole rotations that one depth makes of a bed's stations, from the least up to the
 * cap, the least first, in the air of an instant.
 *
 * @param state The bed's at that instant; left out: what its balance has then.
 */
export function wholeDoses(
  placing: PlacementBed,
  search: Pick<Search, 'limits' | 'driftAt'>,
  atMs: number,
  state: StoreState = stateBefore(placing.balance, atMs),
): WholeDose[] {
  const found: WholeDose[] = [blockAt(placing, search, atMs, 0, state)];
  for (let last = found[0]; last !== undefined; ) {
    const depthMm = last.block.oneMoreMm + SLACK_MM;
    if (depthMm > placing.doseCapMm + 2 * SLACK_MM) break;
    const next = blockAt(placing, search, atMs, depthMm, state);
    if (next.block.rotations <= last.block.rotations) break;
    found.push(next);
    last = next;
  }
  return found;
}
