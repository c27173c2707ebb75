import { execFileSync } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { appendFile, mkdir, open, rename, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { csvSource } from '../../../adapters/weather/csv.ts';
import { csvConfigSchema } from '../../../adapters/weather/csv-table.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { at, clock, HEADER, HOUR_MS, STATION, weatherFolder } from './weather-folder.ts';

const MIN_MS = 60_000;
const { read: readFrom } = weatherFolder();
/** The newest row of the long files, at the site's time. */
const END_MS = at('2026-07-20T12:00:00-07:00');

/** For all tests of a file: the long files are written once. */
function suiteFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-test-'));
  afterAll(() => rm(folder, { recursive: true, force: true }));
  return folder;
}

function source(folder: string, more: object = {}) {
  return csvSource(csvConfigSchema.parse({ ...STATION, file: 'weather.csv', ...more }), {
    clock,
    clockIn: siteClock,
    latitudeDeg: 40,
    longitudeDeg: -119,
    elevationM: 100,
    baseFolder: folder,
  });
}

/** The row of a minute, invented; the clock of these days stands seven hours behind UTC. */
function row(atMs: number): string {
  const minute = Math.round(atMs / MIN_MS);
  const stamp = new Date(atMs - 7 * HOUR_MS).toISOString().slice(0, 16);
  const sun = Math.max(0, Math.round(700 * Math.sin((((atMs / HOUR_MS) % 24) - 13) * 0.26)));
  return `${stamp},${(15 + (minute % 97) / 10).toFixed(1)},${40 + (minute % 31)},${(minute % 23) / 10},${sun},0`;
}

/** Rows of every minute up to `END_MS`, written without holding them. */
async function writeMinutes(path: string, minutes: number, newestFirst = false): Promise<void> {
  const file = await open(path, 'w');
  try {
    await file.write(`${HEADER}\n`);
    for (let done = 0; done < minutes; done += 5_000) {
      const count = Math.min(5_000, minutes - done);
      const rows = Array.from({ length: count }, (_, index) => {
        const nth = done + index;
        return row(END_MS - (newestFirst ? nth : minutes - 1 - nth) * MIN_MS);
      });
      await file.write(`${rows.join('\n')}\n`);
    }
  } finally {
    await file.close();
  }
}

/**
 * Runs while the longest work between two turns of the event loop is watched: the time of the
 * processor, as on a busy machine others take their share of the clock's.
 */
async function watched<Made>(run: () => Promise<Made>): Promise<{ made: Made; longestMs: number }> {
  const workedMs = () => {
    const { user, system } = process.cpuUsage();
    return (user + system) / 1000;
  };
  let lastMs = workedMs();
  let longestMs = 0;
  let ended = false;
  const turn = () => {
    const nowMs = workedMs();
    longestMs = Math.max(longestMs, nowMs - lastMs);
    lastMs = nowMs;
    if (!ended) setImmediate(turn);
  };
  setImmediate(turn);
  const made = await run();
  ended = true;
  return { made, longestMs };
}

const DAYS = { fromMs: at('2026-07-16T00:00:00-07:00'), toMs: END_MS, nowMs: END_MS };

/** The same days in a short file, which is read as a whole. */
async function asShort(request = DAYS) {
  const rows: string[] = [];
  const fromMs = request.fromMs - 2 * HOUR_MS;
  for (let ms = fromMs; ms <= Math.min(END_MS, request.toMs + 2 * HOUR_MS); ms += MIN_MS)
    rows.push(row(ms));
  return readFrom(STATION, `${HEADER}\n${rows.join('\n')}\n`, request);
}

describe('a station export of every minute for more than a year (21 MB, invented)', () => {
  const folder = suiteFolder();
  const MINUTES = 660_000;
  const path = () => join(folder, 'weather.csv');
  beforeAll(async () => {
    await writeMinutes(path(), MINUTES);
  });

  it('gives the days that are asked for as a short file of these days does', async () => {
    const { hours, problems, asOfMs } = await source(folder).read(DAYS);
    const short = await asShort();
    expect(hours).toHaveLength(108);
    expect(hours).toEqual(short.hours);
    expect(problems).toEqual(short.problems);
    expect(asOfMs).toBe(END_MS);
  });

  it('gives days of long ago too, and says what is not there', async () => {
    const long = source(folder);
    const fromMs = at('2025-09-01T00:00:00-07:00');
    const request = { fromMs, toMs: fromMs + 48 * HOUR_MS, nowMs: END_MS };
    expect((await long.read(request)).hours).toEqual((await asShort(request)).hours);
    const before = {
      ...request,
      fromMs: fromMs - 365 * 24 * HOUR_MS,
      toMs: fromMs - 364 * 24 * HOUR_MS,
    };
    const none = await long.read(before);
    expect(none.hours).toEqual([]);
    expect(none.problems.at(-1)?.what).toMatch(/^no row for 24 h/);
  });

  it('holds the event loop up for no longer than a stop may wait', async () => {
    // Threads that tidy the memory count too: that lengthens a try, and never shortens one.
    const tries: number[] = [];
    for (let nth = 0; nth < 3; nth++) {
      tries.push((await watched(() => source(folder).read(DAYS))).longestMs);
    }
    expect(Math.min(...tries)).toBeLessThan(50);
  });

  it('is not read again while it is only added to, but for its end', async () => {
    const long = source(folder);
    await long.read(DAYS);
    // Made unlike what was read: only rows that are read again can tell.
    const file = await open(path(), 'r+');
    const days = Math.round((END_MS - at('2026-07-16T12:00:00-07:00')) / MIN_MS);
    const size = (await file.stat()).size;
    await file.write('2026-07-01T00:00,99', size - days * row(END_MS).length);
    await file.close();
    const next = [1, 2, 3].map((minutes) => row(END_MS + minutes * MIN_MS));
    await appendFile(path(), `${next.join('\n')}\n`);
    const request = { ...DAYS, toMs: END_MS + HOUR_MS, nowMs: END_MS + 3 * MIN_MS };
    const again = await long.read(request);
    expect(again.asOfMs).toBe(END_MS + 3 * MIN_MS);
    expect(again.hours.slice(0, 108)).toEqual((await asShort()).hours);
    expect(again.problems.filter(({ what }) => what.includes('has not all of its rows'))).toEqual(
      [],
    );
  });

  it('is another file once another was renamed over it', async () => {
    const long = source(folder);
    await long.read(DAYS);
    await writeMinutes(`${path()}.new`, 70_000, true);
    await rename(`${path()}.new`, path());
    const { hours, asOfMs, problems } = await long.read(DAYS);
    // The newest row stands on top, as many exports have it.
    expect(hours).toEqual((await asShort()).hours);
    expect(asOfMs).toBe(END_MS);
    expect(problems).toEqual([]);
  });
});

describe('a station export of 400 MB', () => {
  const folder = suiteFolder();
  const path = join(folder, 'weather.csv');
  beforeAll(async () => {
    // Its oldest years are a hole in the file: as long, and quicker to write.
    const tail = join(folder, 'tail.csv');
    await writeMinutes(tail, 90_000);
    await writeFile(path, `${HEADER}\n${row(END_MS - 4_000_000 * MIN_MS)}\n`);
    execFileSync('sh', [
      '-c',
      'truncate -s 400000000 "$1"; printf "\\n" >>"$1"; tail -n +2 "$2" >>"$1"',
      'sh',
      path,
      tail,
    ]);
  });

  it('costs little memory and little time, and a person is told of its size', async () => {
    globalThis.gc?.();
    const before = process.memoryUsage();
    let mostBytes = 0;
    const watch = setInterval(() => {
      const { heapUsed, external } = process.memoryUsage();
      mostBytes = Math.max(mostBytes, heapUsed + external - before.heapUsed - before.external);
    }, 1);
    const { hours, problems } = await source(folder).read(DAYS);
    clearInterval(watch);
    expect(hours).toEqual((await asShort()).hours);
    expect(problems[0]).toMatchObject({
      what: expect.stringMatching(/^the file is large \(got 40\d\.\d MB\); begin a new one/),
      done: 'only the days that are asked for are read',
    });
    expect(mostBytes).toBeLessThan(60e6);
  });
});

describe('what is no station export', () => {
  const folder = suiteFolder();
  const path = join(folder, 'weather.csv');

  it('refuses a pipe, a device and a folder at once', async () => {
    execFileSync('mkfifo', [path]);
    await expect(source(folder).read(DAYS)).rejects.toThrow(
      'weather.csv: this is no file that can be read again (got a named pipe); let the station write a file',
    );
    await rm(path);
    await expect(source('/dev', { file: 'zero' }).read(DAYS)).rejects.toThrow('(got a device)');
    await mkdir(path);
    await expect(source(folder).read(DAYS)).rejects.toThrow('this is a folder (got EISDIR)');
    await rm(path, { recursive: true });
  });

  it('is unreadable, in words, where it goes away while it is being read', async () => {
    await writeMinutes(path, 70_000);
    const reading = source(folder).read({ ...DAYS, fromMs: DAYS.fromMs - 40 * 24 * HOUR_MS });
    const failed = expect(reading).rejects.toMatchObject({ name: 'WeatherUnreadable' });
    await pause(100);
    await rm(path);
    await failed;
  });

  it('answers from what it had when a pipe takes the place of the file', async () => {
    const rows = Array.from({ length: 300 }, (_, nth) => row(END_MS - (299 - nth) * MIN_MS));
    await writeFile(path, `${HEADER}\n${rows.join('\n')}\n`);
    const station = source(folder);
    const { hours } = await station.read(DAYS);
    await rm(path);
    execFileSync('mkfifo', [path]);
    const fallen = await station.read(DAYS);
    expect(fallen.hours).toEqual(hours);
    expect(fallen.problems[0]?.what).toContain('got a named pipe');
    await rm(path);
  });

  it.each([
    ['one line without an end', 'x'.repeat(3_000_000), /no time can be read/],
    ['short lines of rubbish', 'x\n'.repeat(1_400_000), /no time can be read/],
    [
      'UTF-16',
      Buffer.from(`\uFEFF${'2026-07-01T00:00,1,2,3,4,5\n'.repeat(50_000)}`, 'utf16le'),
      /got UTF-16 of 2\.\d MB/,
    ],
  ])('says what to do of a long file of %s', async (_, content, what) => {
    await writeFile(
      path,
      Buffer.concat([
        Buffer.from(typeof content === 'string' ? `${HEADER}\n` : ''),
        Buffer.from(content),
      ]),
    );
    const { made, longestMs } = await watched(() =>
      source(folder)
        .read(DAYS)
        .catch((error) => error),
    );
    expect(String(made)).toMatch(what);
    expect(longestMs).toBeLessThan(1_000);
  });

  it('holds little of a file that is read as a whole and has no sound line', async () => {
    await writeFile(path, `${HEADER}\n${row(END_MS)}\n${'x\n'.repeat(900_000)}`);
    const before = process.memoryUsage().heapUsed;
    const { problems } = await source(folder).read(DAYS);
    expect(problems.length).toBeLessThan(20);
    expect(process.memoryUsage().heapUsed - before).toBeLessThan(60e6);
  });
});
