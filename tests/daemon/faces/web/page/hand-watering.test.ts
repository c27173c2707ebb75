import { describe, expect, it } from 'vitest';
import { handWatering, hosesNeeded } from '../../../../../daemon/faces/web/page/hand-watering.ts';
import type { BedView } from '../../../../../daemon/faces/web/views/bed-view.ts';

const NOW_MS = Date.parse('2026-07-01T12:00:00Z');
const HOUR_MS = 3_600_000;

/** An invented bed: only what the card reads. */
function bed(given: {
  id: string;
  dryInMin: number | null;
  storeMm: number;
  lossMm: number[];
}): BedView {
  const { id, dryInMin, storeMm, lossMm } = given;
  return {
    nowMs: NOW_MS,
    areaM2: 450,
    bed: {
      id,
      name: id,
      dryAtMs: dryInMin === null ? null : NOW_MS + dryInMin * 60_000,
      dryLine: '',
      storeNowMm: storeMm,
      capacityMm: 1,
    },
    series: {
      hourStartMs: lossMm.map((_, index) => NOW_MS + (index - 1) * HOUR_MS),
      lossMm,
      rainMm: [],
    },
  } as unknown as BedView;
}

describe('hand watering for the day the pump fails', () => {
  const beds = [
    bed({ id: 'late', dryInMin: 90, storeMm: 0.8, lossMm: [0.9, 0.5, 0.4] }),
    bed({ id: 'never', dryInMin: null, storeMm: 1, lossMm: [0, 0, 0] }),
    bed({ id: 'soon', dryInMin: 10, storeMm: 0.2, lossMm: [0.9, 0.6, 0.6] }),
    bed({ id: 'dry', dryInMin: 0, storeMm: -0.3, lossMm: [0.9, 0.6, 0.7] }),
  ];
  const rows = handWatering({ beds, hoseLPerMin: 60, nowMs: NOW_MS });

  it('goes from the first to dry to the last', () => {
    expect(rows.map((row) => row.bedId)).toEqual(['dry', 'soon', 'late', 'never']);
  });

  it('gives minutes by hose: mm times m2 are litres', () => {
    // 1.3 mm on 450 m2 are 585 L: 9.75 minutes at 60 L/min.
    expect(rows[0]?.fillMin).toBeCloseTo(9.75, 10);
    // 0.7 mm in the worst hour are 315 L: 5.25 minutes.
    expect(rows[0]?.worstHourMin).toBeCloseTo(5.25, 10);
    expect(rows[1]?.fillMin).toBeCloseTo(6, 10);
  });

  it('looks at hours to come, not at those gone by', () => {
    expect(rows[2]?.worstHourMin).toBeCloseTo((0.5 * 450) / 60, 10);
  });

  it('says how long a full seedbed lasts at the worst, and nothing where nothing is lost', () => {
    expect(rows[1]?.lastsMin).toBeCloseTo(100, 10);
    expect(rows[3]?.lastsMin).toBeNull();
  });

  it('counts the hoses that hold every bed', () => {
    expect(hosesNeeded(rows)).toBe(1);
    expect(hosesNeeded(Array.from({ length: 9 }, () => rows).flat())).toBe(3);
  });
});
