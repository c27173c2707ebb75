import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { membersOfClass } from '../../../calc/sand/sand-class-models.ts';
import { SEED_LAYER_MM } from '../../../calc/sand/seedbed-store.ts';
import { sandModels } from '../../../daemon/planning/sand-models.ts';
import { scratchFolder } from '../../scratch-site.ts';

/** An invented coarse sand over gravel: the column of one of the sands behind it gets stuck. */
const REPORTED = {
  name: 'trial',
  stated: null,
  className: 'coarse_over_gravel',
  basis: 'lab_report' as const,
  saturatedMmPerH: 424.3576328698658,
  lab: {
    report: {
      totalPorosityFraction: 0.392,
      capillaryPorosityFraction: 0.054,
      saturatedMmPerH: 424,
      releasePoints: [
        { suctionCm: 10, waterFraction: 0.156 },
        { suctionCm: 20, waterFraction: 0.074 },
        { suctionCm: 40, waterFraction: 0.047 },
        { suctionCm: 60, waterFraction: 0.041 },
      ],
    },
    depthMm: 300,
    under: 'gravel' as const,
  },
};

describe('the models that a sand is planned with', () => {
  it('lets the class stand in for a sand whose column gets stuck, and keeps that it did', () => {
    const folder = scratchFolder();
    const models = sandModels(folder)(REPORTED, SEED_LAYER_MM);
    const ofClass = membersOfClass('coarse_over_gravel').map(({ model }) => model);
    expect(models).toHaveLength(5 + ofClass.length);
    expect(models.slice(5)).toEqual(ofClass);
    const kept = readdirSync(join(folder, 'sands')).map((file) =>
      readFileSync(join(folder, 'sands', file), 'utf8'),
    );
    expect(kept).toHaveLength(6);
    expect(kept.filter((text) => text === 'null')).toHaveLength(1);
    // Another folder is given what was found, the stuck one among it.
    const other = scratchFolder();
    expect(sandModels(other)(REPORTED, SEED_LAYER_MM)).toEqual(models);
    expect(readdirSync(join(other, 'sands'))).toHaveLength(6);
  });
});
