import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { type DrawnBed, drawnBeds } from '../../bench/looks/drawn-beds.ts';
import { type Lived, livedDays } from '../../bench/looks/lived-days.ts';
import { packagedWeather } from '../../bench/season/sources.ts';
import { seeded } from '../../seeded.ts';

/** A bed may not be drier for having been looked at, by more of its daylight than this. */
const MOST_DRIER_PCT = 0.5;

/** One of the bench's beds, which loses a third more than told; `npm run bench -- looks` runs many. */
let bed: DrawnBed;
let without: Lived;
beforeAll(async () => {
  const classes = ['loamy_open', 'coarse_over_gravel'];
  const found = drawnBeds(await packagedWeather(), { classes, truths: 2, isTuning: true })[1];
  if (found === undefined) throw new Error('no bed was drawn');
  bed = found;
  without = await live(null);
}, 120_000);

function live(eyeFraction: number | null): Promise<Lived> {
  const unit = seeded(1);
  return livedDays(bed.one, {
    sand: bed.sandBy('class alone'),
    person: eyeFraction === null ? null : { eyeFraction, wrongFraction: 0, unit },
    modelsFolder: join(tmpdir(), 'dewbeat-season-sands'),
  });
}

const dryPct = ({ verdict }: Lived) => (100 * verdict.dryMin) / verdict.daylightMin;

describe('five days with three looks a day', () => {
  it('leave no bed drier than without them by an eye that sees late', async () => {
    const late = await live(0.15);
    expect(dryPct(late)).toBeLessThanOrEqual(dryPct(without) + MOST_DRIER_PCT);
  }, 120_000);

  it('keep it moist by an eye that sees early', async () => {
    const early = await live(0.3);
    expect(dryPct(early)).toBeLessThanOrEqual(dryPct(without) / 2);
    expect(early.verdict.netMm).toBeLessThan(1.3 * without.verdict.netMm);
  }, 120_000);
});
