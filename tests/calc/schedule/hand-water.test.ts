import { describe, expect, it } from 'vitest';
import { handWaterRuns } from '../../../calc/schedule/run.ts';
import type { Site, Station } from '../../../calc/schedule/site.ts';

const station = (id: string, bedId: string): Station => ({
  id,
  bedId,
  flowLPerMin: 100,
  precipitationRateMmPerH: 18,
  rateBasis: 'stated',
  rateMeasured: true,
  runTimeMultiplierFraction: 1,
  rotationS: 150,
  mainId: null,
  lateralId: null,
});
const site = { stations: [station('a', 'g1'), station('b', 'g1'), station('c', 'g2')] } as Site;
const driftAt = () => 0.1;

describe('handWaterRuns', () => {
  it('gives a hose’s depth to each station’s share, without drift', () => {
    const given = [{ bedId: 'g1', stationId: null, startMs: 5, runS: 600, grossMm: 2 }];
    const runs = handWaterRuns({ given, site, driftAt });
    expect(runs.map((run) => [run.stationId, run.netMm, run.rotations, run.cycle])).toEqual([
      ['a', 2, 0, 0],
      ['b', 2, 0, 0],
    ]);
  });

  it('gives a station’s run to its own share, less drift', () => {
    const given = [{ bedId: 'g1', stationId: 'b', startMs: 5, runS: 300, grossMm: 1.5 }];
    const [run, ...rest] = handWaterRuns({ given, site, driftAt });
    expect(rest).toEqual([]);
    expect(run).toMatchObject({ stationId: 'b', rotations: 2, grossMm: 1.5 });
    expect(run?.netMm).toBeCloseTo(1.35, 12);
  });

  it('gives nothing for a bed that is no longer there', () => {
    const given = [{ bedId: 'gone', stationId: null, startMs: 5, runS: 300, grossMm: 1.5 }];
    expect(handWaterRuns({ given, site, driftAt })).toEqual([]);
  });
});
