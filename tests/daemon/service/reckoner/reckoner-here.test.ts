import { describe, expect, it } from 'vitest';
import { reckonerHere } from '../../../../daemon/service/reckoner/reckoner.ts';
import { jobRig } from '../../job-rig.ts';

describe('a reckoner in this process', () => {
  it('answers one question after another, and of one asker only the newest that waits', async () => {
    const { db, config, parts, at } = jobRig();
    const reckoner = reckonerHere({ db, config, weather: parts.weather });
    const nowMs = at(0);
    const ask = (asker?: string) =>
      reckoner.ask('siteNow', { nowMs }, asker).then(
        ({ beds }) => beds.length,
        (error: { code: string }) => error.code,
      );
    const all = [ask('a'), ask('a'), ask('b'), ask('a'), ask(), ask()];
    expect(await Promise.all(all)).toEqual([3, 'newer_asked', 3, 3, 3, 3]);
    reckoner.stop();
    expect(await ask()).toBe('stopping');
  });
});
