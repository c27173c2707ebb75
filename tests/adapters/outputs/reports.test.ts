import { describe, expect, it } from 'vitest';
import { readReport } from '../../../adapters/outputs/mqtt.ts';

const NOW_MS = 5_000;
const read = (kind: 'receipt' | 'ran', value: unknown) =>
  readReport(kind, Buffer.from(typeof value === 'string' ? value : JSON.stringify(value)), {
    output: 'mqtt',
    nowMs: NOW_MS,
  });
const receipt = { order_id: 'o-1', answer: 'accepted' };
const ran = { station_id: 's-1', start: '2026-07-01T06:15:02-07:00', run_s: 240 };

describe('readReport', () => {
  it.each([
    [{}, { answer: 'accepted', detail: '' }],
    [
      { answer: 'rejected', detail: 'box off', more: 1 },
      { answer: 'rejected', detail: 'box off' },
    ],
    [
      { answer: 'unknown', detail: 'x'.repeat(500) },
      { answer: 'unknown', detail: 'x'.repeat(500) },
    ],
    [{ order_id: 'o'.repeat(200) }, { orderId: 'o'.repeat(200) }],
  ])('reads a receipt with %j', (change, report) => {
    expect(read('receipt', { ...receipt, ...change })).toEqual({
      ok: true,
      report: {
        kind: 'receipt',
        output: 'mqtt',
        orderId: 'o-1',
        answer: 'accepted',
        detail: '',
        atMs: NOW_MS,
        ...report,
      },
    });
  });

  it.each([
    [{}, {}],
    [
      { run_s: 0, flow_l_per_min: 0 },
      { runS: 0, flowLPerMin: 0 },
    ],
    [
      { run_s: 86_400, flow_l_per_min: 1e6 },
      { runS: 86_400, flowLPerMin: 1e6 },
    ],
    [{ flow_l_per_min: null }, {}],
    [{ station_id: 's'.repeat(80) }, { stationId: 's'.repeat(80) }],
  ])('reads a run with %j', (change, report) => {
    expect(read('ran', { ...ran, ...change })).toEqual({
      ok: true,
      report: {
        kind: 'ran',
        output: 'mqtt',
        stationId: 's-1',
        startMs: Date.parse(ran.start),
        runS: 240,
        flowLPerMin: null,
        atMs: NOW_MS,
        ...report,
      },
    });
  });

  it.each<['receipt' | 'ran', object, string]>([
    ['receipt', { order_id: '' }, 'order_id'],
    ['receipt', { order_id: 'o'.repeat(201) }, 'order_id'],
    ['receipt', { order_id: 7, answer: 'yes' }, 'order_id, answer'],
    ['receipt', { detail: 'x'.repeat(501) }, 'detail'],
    ['ran', { station_id: '' }, 'station_id'],
    ['ran', { station_id: 's'.repeat(81) }, 'station_id'],
    ['ran', { start: '2026-07-01T06:15:02' }, 'start'],
    ['ran', { run_s: -1 }, 'run_s'],
    ['ran', { run_s: 86_401 }, 'run_s'],
    ['ran', { flow_l_per_min: -1 }, 'flow_l_per_min'],
    ['ran', { flow_l_per_min: 1e6 + 1 }, 'flow_l_per_min'],
  ])('drops a %s with %j', (kind, change, fields) => {
    const whole = kind === 'receipt' ? receipt : ran;
    expect(read(kind, { ...whole, ...change })).toEqual({
      ok: false,
      why: `does not fit in ${fields}`,
    });
  });

  it.each(['null', '7', '[]', '"o-1"'])('drops %s as a whole', (text) => {
    for (const kind of ['receipt', 'ran'] as const) {
      expect(read(kind, text)).toEqual({ ok: false, why: 'does not fit in the whole' });
    }
  });

  it('drops what is no JSON in UTF-8, and what is too large', () => {
    const why = 'is no JSON in UTF-8';
    expect(read('ran', '{')).toEqual({ ok: false, why });
    const broken = Buffer.concat([Buffer.from('"'), Buffer.from([0xff]), Buffer.from('"')]);
    const given = { output: 'mqtt', nowMs: NOW_MS };
    expect(readReport('ran', broken, given)).toEqual({ ok: false, why });
    const padded = (bytes: number) => JSON.stringify(receipt).padEnd(bytes, ' ');
    expect(read('receipt', padded(8192)).ok).toBe(true);
    expect(read('receipt', padded(8193))).toEqual({
      ok: false,
      why: 'is too large (got 8193 bytes)',
    });
  });
});
