import { rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { csvSource } from '../../../adapters/weather/csv.ts';
import { csvConfigSchema } from '../../../adapters/weather/csv-table.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { scratchFolder } from '../../scratch-site.ts';
import { clock, DAY, dayRows, HEADER, STATION } from './weather-folder.ts';

/** A station that writes while it is read. */
function station() {
  const folder = scratchFolder();
  const path = join(folder, 'weather.csv');
  const source = csvSource(csvConfigSchema.parse({ ...STATION, file: 'weather.csv' }), {
    clock,
    clockIn: siteClock,
    latitudeDeg: 40,
    longitudeDeg: -119,
    elevationM: 100,
    baseFolder: folder,
  });
  const read = async () => {
    const { hours, problems } = await source.read(DAY);
    return { count: hours.length, told: problems.map(({ what }) => what), problems };
  };
  return { folder, path, read };
}

const text = (hours: number) => `${[HEADER, ...dayRows().slice(0, hours)].join('\n')}\n`;
const gap = expect.stringContaining('no row for');

describe('a station file that is written while the daemon runs', () => {
  it('gives what was appended at the next look', async () => {
    const { path, read } = station();
    await writeFile(path, text(5));
    expect((await read()).count).toBe(5);
    await writeFile(path, text(9));
    expect((await read()).count).toBe(9);
  });

  it('sees a file that was renamed over the old one, of the same size and time', async () => {
    const { folder, path, read } = station();
    await writeFile(path, text(24));
    await read();
    const other = join(folder, 'new.csv');
    await writeFile(other, text(24).replace('T05:00,15', 'T05:00,19'));
    await rename(other, path);
    expect((await read()).count).toBe(24);
  });

  it.each([
    ['is away', (path: string) => rm(path), 'there is no such file (got ENOENT)'],
    ['is empty', (path: string) => writeFile(path, ''), 'the file is empty (got 0 bytes)'],
    [
      'has its header alone',
      (path: string) => writeFile(path, `${HEADER}\n`),
      'there are column names and no whole row (got 2 lines)',
    ],
  ])('falls back on what was last read while the file %s, with its age', async (_, harm, why) => {
    const { path, read } = station();
    await writeFile(path, text(24));
    await read();
    await harm(path);
    const fallen = await read();
    expect(fallen.count).toBe(24);
    expect(fallen.problems[0]).toMatchObject({
      what: why,
      done: expect.stringMatching(/^what was last read stands in, written \d{4}-/),
    });
    await writeFile(path, text(7));
    expect(await read()).toMatchObject({ count: 7, told: [gap] });
  });

  it('is unreadable, with what to do, where nothing was read before', async () => {
    const { read } = station();
    await expect(read()).rejects.toThrow(/ENOENT\); check the path/);
  });

  it('leaves a line out that is cut anywhere, and never takes half a number', async () => {
    const { path, read } = station();
    const whole = text(6);
    const lastLine = whole.lastIndexOf('2026-07-01T05:00');
    for (let cut = lastLine + 1; cut < whole.length; cut++) {
      await writeFile(path, whole.slice(0, cut));
      const { count, problems } = await read();
      expect(count).toBe(5);
      expect(problems[0]?.done).toMatch(/^left out/);
    }
  });
});
