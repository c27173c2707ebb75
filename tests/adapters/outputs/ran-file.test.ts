import { execFileSync } from 'node:child_process';
import * as files from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { createFileOutput, fileOutputSchema } from '../../../adapters/outputs/file.ts';
import { type RanRow, ranReader } from '../../../adapters/outputs/ran-file.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { contextForTest } from './output-context.ts';

const NOW_MS = EXAMPLE_MADE_AT_MS + 12 * 3_600_000;
const HEADER = 'station,start,run_seconds,flow_l_per_min\n';
const ROW_A = 's-1a,2026-07-01T06:15:02-07:00,238.5,61\n';
const ROW_B = 's-1b,2026-07-01T06:15:02-07:00,240,\n';

/** The whole lines of a text under its first one. */
function read(text: string): { rows: RanRow[]; problems: string[] } {
  const [header = '', ...lines] = text.split('\n').slice(0, -1);
  const reader = ranReader(header, 'ran.csv');
  if (typeof reader === 'string') return { rows: [], problems: [reader] };
  const made = lines.map((line, index) => reader({ text: line, number: index + 2, nowMs: NOW_MS }));
  return {
    rows: made.filter((one) => typeof one !== 'string'),
    problems: made.filter((one) => typeof one === 'string'),
  };
}

describe('ranReader', () => {
  it('reads what ran, with the flow where there is one', () => {
    const startMs = Date.parse('2026-07-01T06:15:02-07:00');
    expect(read(HEADER + ROW_A + ROW_B)).toEqual({
      rows: [
        { stationId: 's-1a', startMs, runS: 238.5, flowLPerMin: 61 },
        { stationId: 's-1b', startMs, runS: 240, flowLPerMin: null },
      ],
      problems: [],
    });
  });

  it('takes columns in any sequence, with semicolons, and without a flow', () => {
    const text = 'Start;Station;More;Run_Seconds\n2026-07-01T13:15:02Z;"s;1";x;12\n';
    expect(read(text).rows).toMatchObject([{ stationId: 's;1', runS: 12, flowLPerMin: null }]);
  });

  it.each([
    ['s-1a,yesterday,240,', 'does not fit in start'],
    ['s-1a,2026-07-01T06:15:02,240,', 'does not fit in start'],
    ['s-1a,2026-07-01T06:15:02Z,,', 'does not fit in run_seconds'],
    ['s-1a,2026-07-01T06:15:02Z,-1,', 'does not fit in run_seconds'],
    ['s-1a,2026-07-01T06:15:02Z,86401,', 'does not fit in run_seconds'],
    ['s-1a,2026-07-01T06:15:02Z,240,fast', 'does not fit in flow'],
    [',2026-07-01T06:15:02Z,240,', 'does not fit in station'],
    ['s-1a,2026-07-02T06:15:02Z,240,', 'lies in the future'],
    ['s-1a,2026-07-01', 'does not fit in start, run_seconds'],
    ['"s-1a,2026-07-01T06:15:02Z,240,', 'is no line of values'],
  ])('leaves %s out, says so, and keeps the rest', (line, what) => {
    const { rows, problems } = read(`${HEADER}${line}\n${ROW_A}`);
    expect(rows).toHaveLength(1);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toContain(`ran.csv:2: ${what}`);
    expect(problems[0]).toContain('the line was left out');
  });

  it('says which columns it needs', () => {
    expect(read('valve,begin\nx,y\n').problems[0]).toBe(
      'ran.csv: there are no columns station,start,run_seconds (got valve,begin); write them into the first line',
    );
  });

  it('never reads more into a half-written file than stands in the whole one', () => {
    const whole = HEADER + ROW_A + ROW_B;
    const known = new Set(read(whole).rows.map((row) => JSON.stringify(row)));
    fc.assert(
      fc.property(fc.nat(whole.length), (length) => {
        const { rows } = read(whole.slice(0, length));
        for (const row of rows) expect(known.has(JSON.stringify(row))).toBe(true);
      }),
      { seed: 20261125, numRuns: 150 },
    );
  });
});

describe('a file output that is told what ran', () => {
  let folder: string;
  let stop = () => Promise.resolve();
  beforeEach(async () => {
    folder = await files.mkdtemp(join(tmpdir(), 'dewbeat-ran-'));
  });
  afterEach(async () => {
    await stop();
    await files.rm(folder, { recursive: true, force: true });
  });
  const path = () => join(folder, 'ran.csv');

  /** Looks come when the test asks for one. */
  async function started(report?: () => void) {
    let work = () => {};
    let asked = 0;
    const timers = {
      monoMs: () => 0,
      later: (_: number, next: () => void) => {
        work = next;
        asked++;
        return () => {
          work = () => {};
        };
      },
    };
    const test = contextForTest({ baseFolder: folder, ...(report && { report }) });
    test.setNow(NOW_MS);
    const config = fileOutputSchema.parse({ output: 'file', folder: '.', ran: 'ran.csv' });
    const output = createFileOutput(config, test.context, files, timers);
    await output.start();
    stop = output.stop;
    const look = async () => {
      const before = asked;
      work();
      while (asked === before) await new Promise((resolve) => setTimeout(resolve, 2));
    };
    return { ...test, output, look };
  }
  const stations = (reports: readonly object[]) =>
    reports.map((report) => (report as { stationId: string }).stationId);

  it('passes each line on once while the file grows, also when its last line comes in halves', async () => {
    const { reports, look, logged } = await started();
    await look();
    await files.writeFile(path(), HEADER + ROW_A.slice(0, -5));
    await look();
    expect(reports).toEqual([]);
    await files.writeFile(path(), HEADER + ROW_A + ROW_B.slice(0, -3));
    await look();
    await look();
    expect(stations(reports)).toEqual(['s-1a']);
    await files.writeFile(path(), HEADER + ROW_A + ROW_B);
    await look();
    expect(reports.at(-1)).toEqual({
      kind: 'ran',
      output: 'file',
      stationId: 's-1b',
      startMs: Date.parse('2026-07-01T06:15:02-07:00'),
      runS: 240,
      flowLPerMin: null,
      atMs: NOW_MS,
    });
    expect(reports).toHaveLength(2);
    expect(logged).toEqual([]);
  });

  it('takes a file that replaces the one before', async () => {
    const { reports, look } = await started();
    await files.writeFile(path(), HEADER + ROW_A);
    await look();
    await files.writeFile(`${path()}.new`, HEADER + ROW_B);
    await files.rename(`${path()}.new`, path());
    await look();
    expect(stations(reports)).toEqual(['s-1a', 's-1b']);
  });

  it('tells of a wrong line once, and passes a line on again that was not taken', async () => {
    let full = true;
    const taken: number[] = [];
    const { look, logged } = await started(() => {
      if (full) throw new Error('database is full');
      taken.push(1);
    });
    await files.writeFile(path(), `${HEADER}junk\n${ROW_A}`);
    await look();
    await look();
    expect(taken).toEqual([]);
    full = false;
    await look();
    await look();
    expect(taken).toEqual([1]);
    expect(logged.filter((line) => line.includes('does not fit in'))).toHaveLength(1);
    expect(logged.filter((line) => line.includes('database is full'))).toHaveLength(1);
  });

  it('reads no line again that was read before, however long the file grows', async () => {
    const { reports, look } = await started();
    await files.writeFile(path(), HEADER + ROW_A);
    await look();
    for (const name of ['f', 'g']) {
      const rows = Array.from({ length: 90 }, (_, i) => `${name}-${i},2026-07-01T06:15:02Z,240,\n`);
      await files.appendFile(path(), rows.join(''));
      await look();
    }
    // Made unlike what was read, behind the reader's back and far before its end.
    const file = await files.open(path(), 'r+');
    await file.write('s-9z', HEADER.length);
    await file.close();
    await files.appendFile(path(), ROW_B.repeat(3000));
    await look();
    // A line that comes again is the same run; the made-up one would be another.
    expect(stations(reports)).not.toContain('s-9z');
    expect(reports).toHaveLength(182);
  });

  it('passes on only what is new of a long file that is written anew each time', async () => {
    const { reports, look } = await started();
    const rows = Array.from({ length: 5000 }, (_, i) => `s-${i},2026-07-01T06:15:02-07:00,9,\n`);
    await files.writeFile(path(), HEADER + rows.slice(0, 90).join(''));
    await look();
    for (let count = 91; count <= 93; count++) {
      await files.writeFile(`${path()}.new`, HEADER + rows.slice(0, count).join(''));
      await files.rename(`${path()}.new`, path());
      await look();
    }
    expect(stations(reports)).toEqual(rows.slice(0, 93).map((_, i) => `s-${i}`));
  });

  it('begins a file of many years at its end, and says so', async () => {
    const { reports, look, logged } = await started();
    const old = 'o-1,2025-07-01T06:15:02-07:00,240,\n'.repeat(90_000);
    await files.writeFile(path(), HEADER + old + ROW_A);
    for (let i = 0; i < 4; i++) await look();
    expect(new Set(stations(reports))).toEqual(new Set(['o-1', 's-1a']));
    expect(logged.filter((line) => line.includes('is long (got 3'))).toHaveLength(1);
  });

  it('passes over a line without an end, and takes what comes behind it', async () => {
    const { reports, look, logged } = await started();
    await files.writeFile(path(), `${HEADER}${'x'.repeat(400_000)}`);
    await look();
    await files.appendFile(path(), `${'x'.repeat(300_000)}\n${ROW_A}`);
    await look();
    expect(stations(reports)).toEqual(['s-1a']);
    expect(logged.filter((line) => line.includes('a line has no end'))).toHaveLength(1);
  });

  it.each([
    ['a named pipe', () => execFileSync('mkfifo', [path()])],
    ['a folder', () => execFileSync('mkdir', [path()])],
  ])('never opens %s', async (kind, make) => {
    const { look, logged } = await started();
    make();
    await look();
    await look();
    expect(logged.filter((line) => line.includes(`this is ${kind} and no file`))).toHaveLength(1);
  });

  it.each([
    ['in UTF-16', Buffer.from([0xfe, 0xff, 0, 0x73])],
    ['in UTF-16, the other way round', Buffer.from([0xff, 0xfe, 0x73, 0])],
  ])('says that a file is %s', async (_, bytes) => {
    const { look, logged, reports } = await started();
    await files.writeFile(path(), bytes);
    await look();
    await look();
    expect(logged).toEqual([
      'file: ran.csv: cannot be taken in (is no UTF-8; write it as UTF-8) {"output":"file"}',
    ]);
    expect(reports).toEqual([]);
  });

  it('takes a file that begins with the mark of UTF-8', async () => {
    const { look, logged, reports } = await started();
    await files.writeFile(path(), `\ufeff${HEADER}${ROW_A}`);
    await look();
    expect(stations(reports)).toEqual(['s-1a']);
    expect(logged).toEqual([]);
  });

  it('tells of ten wrong lines, and of the others in one', async () => {
    const { look, logged } = await started();
    const wrong = (from: number, to: number) =>
      Array.from({ length: to - from }, (_, i) => `junk-${from + i}\n`).join('');
    await files.writeFile(path(), HEADER + wrong(0, 10));
    await look();
    expect(logged).toHaveLength(10);
    expect(logged[0]).toBe(
      'file: ran.csv:2: does not fit in start, run_seconds (got junk-0); the line was left out {"output":"file"}',
    );
    await files.appendFile(path(), wrong(10, 23));
    await look();
    expect(logged).toHaveLength(21);
    expect(logged.at(-1)).toBe(
      'file: ran.csv: 3 lines more are wrong and were left out {"output":"file"}',
    );
  });

  it('says what its header lacks, once, and takes it in once that is mended', async () => {
    const { look, logged, reports } = await started();
    await files.writeFile(path(), `\n\nvalve,begin\n${ROW_A}`);
    await look();
    await look();
    expect(logged).toEqual([
      'file: ran.csv: cannot be taken in (ran.csv: there are no columns station,start,run_seconds (got valve,begin); write them into the first line) {"output":"file"}',
    ]);
    await files.writeFile(`${path()}.new`, `\n${HEADER}${ROW_A}`);
    await files.rename(`${path()}.new`, path());
    await look();
    expect(stations(reports)).toEqual(['s-1a']);
  });

  it('takes a long file in by and by', async () => {
    const { reports, look } = await started();
    const rows = Array.from({ length: 250 }, (_, i) => `s-${i},2026-07-01T06:15:02-07:00,240,\n`);
    await files.writeFile(path(), HEADER + rows.join(''));
    const counts: number[] = [];
    for (let i = 0; i < 4; i++) {
      await look();
      counts.push(reports.length);
    }
    expect(counts).toEqual([100, 200, 250, 250]);
  });
});
