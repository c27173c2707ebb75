import * as files from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { createFileOutput, fileOutputSchema } from '../../../adapters/outputs/file.ts';
import { readRanRows } from '../../../adapters/outputs/ran-rows.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { contextForTest } from './output-context.ts';

const NOW_MS = EXAMPLE_MADE_AT_MS + 12 * 3_600_000;
const HEADER = 'station,start,run_seconds,flow_l_per_min\n';
const ROW_A = 's-1a,2026-07-01T06:15:02-07:00,238.5,61\n';
const ROW_B = 's-1b,2026-07-01T06:15:02-07:00,240,\n';
const read = (text: string) => readRanRows(text, 'ran.csv', NOW_MS);

describe('readRanRows', () => {
  it('reads what ran, with the flow where there is one', () => {
    const startMs = Date.parse('2026-07-01T06:15:02-07:00');
    expect(read(HEADER + ROW_A + ROW_B)).toEqual({
      rows: [
        { line: ROW_A.trim(), stationId: 's-1a', startMs, runS: 238.5, flowLPerMin: 61 },
        { line: ROW_B.trim(), stationId: 's-1b', startMs, runS: 240, flowLPerMin: null },
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
    expect(problems[0]?.text).toContain(`ran.csv:2: ${what}`);
    expect(problems[0]?.text).toContain('the line was left out');
  });

  it('says which columns it needs', () => {
    expect(read('valve,begin\nx,y\n').problems[0]?.text).toBe(
      'ran.csv:1: there are no columns station,start,run_seconds (got valve,begin); write them into the first line',
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
