import { describe, expect, it } from 'vitest';
import { ranReader } from '../../../adapters/outputs/ran-file.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';

const NOW_MS = EXAMPLE_MADE_AT_MS + 12 * 3_600_000;
const HEADER = 'station,start,run_seconds,flow_l_per_min';
const START = '2026-07-01T06:15:02-07:00';
const startMs = Date.parse(START);

function read(text: string, header = HEADER) {
  const reader = ranReader(header, 'ran.csv');
  return typeof reader === 'string' ? reader : reader({ text, number: 7, nowMs: NOW_MS });
}

describe('the header of a file of runs', () => {
  it.each([
    'start,station,run_seconds',
    'STATION , Start,Run_Seconds,more',
    '"station","start","run_seconds"',
    'station;start;run_seconds',
  ])('may be %s', (header) => {
    expect(ranReader(header, 'ran.csv')).toBeTypeOf('function');
  });

  it.each(['', 'station,start', 'station,run_seconds', 'start,run_seconds', '"station,start'])(
    'may not be %j',
    (header) => {
      expect(ranReader(header, 'ran.csv')).toBe(
        `ran.csv: there are no columns station,start,run_seconds (got ${header}); write them into the first line`,
      );
    },
  );

  it('is shortened where it is long', () => {
    const at = (length: number) => ranReader('x'.repeat(length), 'f');
    expect(at(60)).toContain(`(got ${'x'.repeat(60)})`);
    expect(at(61)).toContain(`(got ${'x'.repeat(57)}...)`);
  });

  it('says by its marks how the cells are parted', () => {
    expect(read(`a;${START};9`, 'station;start;run_seconds')).toMatchObject({ stationId: 'a' });
    expect(read(`a;b,${START},9`, 'station,start,run_seconds,"x;y"')).toMatchObject({
      stationId: 'a;b',
    });
  });
});

describe('a line of a file of runs', () => {
  it.each([
    [`s-1,${START},240,61`, { runS: 240, flowLPerMin: 61 }],
    [` s-1 , ${START} , 240 , `, { runS: 240, flowLPerMin: null }],
    [`s-1,${START},0,0`, { runS: 0, flowLPerMin: 0 }],
    [`s-1,${START},86400,1e6`, { runS: 86_400, flowLPerMin: 1e6 }],
    [`s-1,${START},238.5,`, { runS: 238.5, flowLPerMin: null }],
  ])('may be %s', (line, row) => {
    expect(read(line)).toEqual({ stationId: 's-1', startMs, ...row });
  });

  it.each(['flow', 'FLOW_L_PER_MIN'])('tells of the flow under %s, or not at all', (flow) => {
    expect(read(`7,s-1,${START},9`, `${flow},station,start,run_seconds`)).toMatchObject({
      flowLPerMin: 7,
    });
    expect(read(`s-1,${START},9`, 'station,start,run_seconds')).toMatchObject({
      flowLPerMin: null,
    });
  });

  it('may lie ahead by ten minutes', () => {
    const at = (aheadMs: number) => new Date(NOW_MS + aheadMs).toISOString();
    expect(read(`s-1,${at(600_000)},240,`)).toMatchObject({ startMs: NOW_MS + 600_000 });
    expect(read(`s-1,${at(600_001)},240,`)).toBe(
      `ran.csv:7: lies in the future (got ${at(600_001)}); the line was left out`,
    );
  });

  const misfit = (fields: string, line: string) =>
    `ran.csv:7: does not fit in ${fields} (got ${line}); the line was left out`;

  it.each([
    [`,${START},240,`, 'station'],
    [`${'s'.repeat(81)},x,y,z`, 'station, start, run_seconds, flow'],
    ['s-1,then,240,', 'start'],
    [`s-1,${START},,`, 'run_seconds'],
    [`s-1,${START},-0.1,`, 'run_seconds'],
    [`s-1,${START},86400.1,`, 'run_seconds'],
    [`s-1,${START},9,-1`, 'flow'],
    [`s-1,${START},9,1000001`, 'flow'],
    ['s-1', 'start, run_seconds'],
  ])('may not be %s', (line, fields) => {
    const shown = line.length > 60 ? `${line.slice(0, 57)}...` : line;
    expect(read(line)).toBe(misfit(fields, shown));
  });

  it.each(['', '"s-1', `s-1,${START},9,\ns-2,${START},9,`])(
    'is no line of values where it is %j',
    (line) => {
      const shown = line.length > 60 ? `${line.slice(0, 57)}...` : line;
      expect(read(line)).toBe(
        `ran.csv:7: is no line of values (got ${shown}); the line was left out`,
      );
    },
  );
});
