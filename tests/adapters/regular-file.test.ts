import { execFileSync } from 'node:child_process';
import { symlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readRegular } from '../../adapters/regular-file.ts';
import { createWeatherSource, weatherConfigSchema } from '../../adapters/weather/combined.ts';
import { siteClock } from '../../daemon/site/time/site-clock.ts';
import { scratchFolder } from '../scratch-site.ts';

const REQUEST = { fromMs: 0, toMs: 3_600_000, nowMs: 0 };

function source(folder: string, config: object) {
  return createWeatherSource(weatherConfigSchema.parse(config), {
    clock: siteClock('Etc/UTC'),
    clockIn: siteClock,
    latitudeDeg: 40,
    longitudeDeg: 0,
    elevationM: 0,
    baseFolder: folder,
  });
}

const EPW = { source: 'epw', file: 'weather' };
const OUTLOOK = {
  source: 'outlook',
  wind_height: '10 m',
  daily_file: {
    file: 'weather',
    day: { column: 'day' },
    columns: { high: { column: 'high', unit: '°C' }, low: { column: 'low', unit: '°C' } },
  },
};

describe('a file that is read as a whole', () => {
  it('is given with its bytes, also behind a link', async () => {
    const folder = scratchFolder();
    await writeFile(join(folder, 'a'), 'x'.repeat(200_000));
    await symlink('a', join(folder, 'b'));
    const { bytes, stats } = await readRegular(join(folder, 'b'), 200_000);
    expect([bytes.length, stats.size]).toEqual([200_000, 200_000]);
  });

  it('is refused by what comes, whatever it says of its size', async () => {
    const folder = scratchFolder();
    await writeFile(join(folder, 'a'), 'x'.repeat(200_001));
    await expect(readRegular(join(folder, 'a'), 200_000)).rejects.toThrow(
      'the file is too large (got 0.2 MB)',
    );
    // Says of itself that it is empty.
    await expect(readRegular('/proc/self/status', 100)).rejects.toThrow('too large (got');
  });

  it.each([
    ['a folder', '/'],
    ['a device', '/dev/zero'],
  ])('is refused where it is %s', async (kind, path) => {
    await expect(readRegular(path, 10)).rejects.toThrow(`this is ${kind} and no file`);
  });

  it.each([
    ['a typical year', EPW, 16_000_001],
    ['a daily outlook', OUTLOOK, 2_000_001],
  ])('%s is no pipe, and has its size', async (_, config, tooMany) => {
    const folder = scratchFolder();
    const path = join(folder, 'weather');
    execFileSync('mkfifo', [path]);
    await expect(source(folder, config).read(REQUEST)).rejects.toThrow(
      'weather: this is no file that can be read again (got a named pipe); let the station write a file',
    );
    execFileSync('rm', [path]);
    execFileSync('truncate', ['-s', String(tooMany), path]);
    await expect(source(folder, config).read(REQUEST)).rejects.toThrow(
      /^weather: the file is too large \(got \d+\.\d MB\); keep the days that are wanted/,
    );
  });
});
