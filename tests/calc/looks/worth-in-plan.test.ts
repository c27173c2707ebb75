import { describe, expect, it } from 'vitest';
import { libraryStore } from '../../../calc/futures/sand-members.ts';
import { UNKNOWN_EYE } from '../../../calc/looks/member-look.ts';
import { looksWorthTaking } from '../../../calc/looks/worth-in-plan.ts';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';
import { bookWater, dryBalance } from '../../../calc/schedule/bed-balance.ts';
import { STEP_MS } from '../../../calc/schedule/demand.ts';

const HOUR_MS = 3_600_000;
const FROM_MS = Date.parse('2026-07-01T06:00:00Z');
const TO_MS = FROM_MS + 12 * HOUR_MS;
const STEPS = (12 * HOUR_MS) / STEP_MS;
const DEMAND_MM_PER_H = 0.5;

/** A bed that may hold little or much and loses half a millimetre an hour, from full at six. */
function bedOf(bedId: string, capacitiesMm: readonly number[], waterAtH: number | null = null) {
  const store = libraryStore(
    capacitiesMm.map((capacityMm) => ({
      store: plainStore({ capacityMm, feedMmPerH: 0 }),
      weightFraction: 1 / capacitiesMm.length,
      lossFactor: 1,
      nightFraction: 0,
    })),
  );
  const balance = dryBalance({
    store,
    grid: { startMs: FROM_MS, steps: STEPS },
    demand: {
      demandMm: new Float64Array(STEPS).fill(DEMAND_MM_PER_H / 12),
      rainMm: new Float64Array(STEPS),
    },
    stateNow: store.full,
  });
  if (waterAtH !== null) {
    const startMs = FROM_MS + waterAtH * HOUR_MS;
    bookWater(balance, [{ stationId: 'a', startMs, endMs: startMs + 600_000, netMm: 9 }]);
  }
  return { bedId, balance };
}
const asked = { eye: UNKNOWN_EYE, fromMs: FROM_MS, toMs: TO_MS };
const hourOf = (atMs: number) => (atMs - FROM_MS) / HOUR_MS;

describe('where and when a look is worth most', () => {
  it('is when one sand would be dry and the other still dark, on a third of an hour', () => {
    const [found] = looksWorthTaking([bedOf('a', [1, 3])], asked);
    // The one is dry two hours on; the other is called lightening four to five hours on.
    expect(found?.bedId).toBe('a');
    const atH = hourOf(found?.atMs ?? 0);
    expect(atH).toBeGreaterThan(1.4);
    expect(atH).toBeLessThan(4.4);
    expect((3 * atH) % 1).toBeCloseTo(0, 9);
  });

  it('names the two beds of which least is known, in the order of their times', () => {
    const known = bedOf('known', [2, 2.05]);
    const late = bedOf('late', [2, 6]);
    const early = bedOf('early', [1, 2.5]);
    const found = looksWorthTaking([known, late, early], asked);
    expect(found.map(({ bedId }) => bedId)).toEqual(['early', 'late']);
  });

  it('reckons with the water of the plan: a bed that was just filled tells nothing', () => {
    const [dry] = looksWorthTaking([bedOf('a', [1, 3])], asked);
    const [watered] = looksWorthTaking([bedOf('a', [1, 3], hourOf(dry?.atMs ?? 0) - 0.3)], asked);
    expect(watered?.atMs).not.toBe(dry?.atMs);
  });

  it('is nowhere once the day is over, of a sand that is known, or among too many beds', () => {
    expect(looksWorthTaking([bedOf('a', [1, 3])], { ...asked, fromMs: TO_MS })).toEqual([]);
    expect(looksWorthTaking([bedOf('a', [2])], asked)).toEqual([]);
    const many = Array.from({ length: 101 }, () => bedOf('a', [1, 3]));
    expect(looksWorthTaking(many, asked)).toEqual([]);
  });
});
