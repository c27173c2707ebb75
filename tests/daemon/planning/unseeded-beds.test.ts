import { describe, expect, it } from 'vitest';
import type { Bed } from '../../../calc/schedule/site.ts';
import { makePlan } from '../../../daemon/planning/make-plan.ts';
import { unseededBeds } from '../../../daemon/planning/seeding.ts';
import { toldOf } from '../../reader.ts';
import { jobRig } from '../job-rig.ts';

const DAY = '2026-07-01';

describe('which beds have no seed yet', () => {
  const isUnseeded = (given: Partial<Bed>) => {
    const [bed] = jobRig().config.site.beds;
    if (bed === undefined) throw new Error('the rig has no bed');
    const { waterBeforeSeeding: _, ...bare } = bed;
    return unseededBeds([{ ...bare, ...given }], DAY).length === 1;
  };

  it.each([
    ['no day of seeding', { seededOn: null }, true],
    ['a day to come', { seededOn: '2026-07-02' }, true],
    ['its day', { seededOn: DAY }, false],
    ['a day that was', { seededOn: '2026-06-20' }, false],
    ['no day, and seen to grow', { seededOn: null, stage: 'emergence' }, false],
    [
      'a day to come, and watered all the same',
      { seededOn: '2026-07-02', waterBeforeSeeding: true },
      false,
    ],
  ] as const)('%s', (_, given, expected) => {
    expect(isUnseeded(given)).toBe(expected);
  });
});

describe('a plan of beds of which some are not seeded', () => {
  it('waters the seeded ones alone, and tells what to write', async () => {
    const rig = jobRig();
    const seeded = (bed: Bed, seededOn: string | null): Bed => {
      const { waterBeforeSeeding: _, ...bare } = bed;
      return { ...bare, seededOn };
    };
    const { site } = rig.config;
    const days = [null, '2099-01-01', '2026-01-01'];
    const beds = site.beds.map((bed, index) => seeded(bed, days[index] ?? null));
    const config = { ...rig.config, site: { ...site, beds } };
    const context = { db: rig.db, config, weather: rig.parts.weather, nowMs: rig.at(0) };
    const { plan } = await makePlan(context, { cause: 'morning', who: 'dewbeat', lift: 'none' });
    expect([...new Set(plan.runs.map(({ bedId }) => bedId))]).toEqual(['bed-3']);
    expect(toldOf(plan, 'not_seeded')).toEqual([
      'Bed 1: no day of seeding is told, so no water is planned. Write its day as seeded in the config, or water_before_seeding: true.',
      'Bed 2: is seeded on 2099-01-01, so no water is planned before. To water it earlier, write water_before_seeding: true in the config.',
    ]);
    expect(plan.shortages.filter(({ bedId }) => bedId !== 'bed-3')).toEqual([]);
    const short = plan.warnings.filter(({ code }) => code === 'does_not_fit');
    expect(short.filter(({ bedId }) => bedId !== 'bed-3')).toEqual([]);
    expect(plan.beds.map(({ bedId }) => bedId)).toEqual(['bed-1', 'bed-2', 'bed-3']);
  });
});
