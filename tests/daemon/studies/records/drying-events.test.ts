import { describe, expect, it } from 'vitest';
import { dryingEvents, type LookRecord } from '../../../../daemon/studies/records/drying-events.ts';
import { recordsRig } from './records-rig.ts';

const DAY_MS = 24 * 3_600_000;

describe('drying events', () => {
  it('come from a day that nobody confirmed, and from none that was', async () => {
    const rig = recordsRig();
    const stored = await rig.plan();
    const { siteDay } = stored.plan;
    rig.goTo(24 * 60);
    const { drying } = (await rig.reportOf(siteDay)).record;
    expect(drying.map(({ bedId }) => bedId).toSorted()).toEqual(['bed-1', 'bed-2', 'bed-3']);
    for (const event of drying) {
      const bed = stored.plan.beds.find((one) => one.bedId === event.bedId);
      expect(event).toMatchObject({ from: 'expected', isUnwatered: true });
      expect(event.fromMs).toBe(bed?.dryAtMs);
      expect(event.toMs).toBe(stored.plan.sunsetMs);
    }
    const watered = recordsRig();
    watered.confirm(await watered.plan());
    watered.goTo(24 * 60);
    expect((await watered.reportOf(siteDay)).record.drying).toEqual([]);
  });

  it('lead to the cover that was seen in the four weeks after, and to no look taken back', () => {
    const look = (days: number, coverFraction: number, isUndone = false): LookRecord => ({
      bedId: 'bed-1',
      seenMs: days * DAY_MS,
      who: 'B. Hand (invented)',
      surface: null,
      coverFraction,
      leafMm: null,
      rootMm: null,
      probeFraction: null,
      probeDepthMm: null,
      photo: null,
      note: null,
      isUndone,
    });
    const seen = { bedId: 'bed-1', seenMs: 10 * DAY_MS, who: 'B. Hand', expectedLeftFraction: 0.4 };
    const looks = [look(9, 0.1), look(20, 0.3), look(21, 0.9, true), look(30, 0.5), look(39, 0.8)];
    const [event] = dryingEvents([], [seen], looks);
    expect(event).toMatchObject({ from: 'seen', expectedLeftFraction: 0.4 });
    expect(event?.later.map(({ coverFraction }) => coverFraction)).toEqual([0.3, 0.5]);
  });
});
