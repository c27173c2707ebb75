import { describe, expect, it } from 'vitest';
import type { Run } from '../../../calc/schedule/run.ts';
import { type ConfirmedRuns, reconcile } from '../../../daemon/delivery/reconcile.ts';
import {
  type OrderFacts,
  type RanReport,
  type RunStateName,
  runKey,
} from '../../../daemon/site/store/run-state.ts';

const MIN_MS = 60_000;
const min = (minutes: number) => minutes * MIN_MS;
const rule = { lateMs: min(10) };

/** An invented run of four minutes, so many minutes after the confirm at 0. */
const run = (startMin: number, change: Partial<Run> = {}): Run => ({
  bedId: 'bed-1',
  stationId: 's-1',
  startMs: min(startMin),
  runS: 240,
  rotations: 2,
  grossMm: 1,
  netMm: 1,
  cycle: 1,
  ...change,
});

const order = (change: Partial<OrderFacts> = {}): OrderFacts => ({
  output: 'mqtt',
  sentMs: min(1),
  triedMs: min(1),
  rejectedMs: null,
  receipt: null,
  ...change,
});

const plan = (change: Partial<ConfirmedRuns> = {}): ConfirmedRuns => ({
  siteDay: '2026-07-01',
  revision: 1,
  runs: [run(60)],
  missed: [],
  replacedMs: Number.POSITIVE_INFINITY,
  holds: [],
  orders: [order()],
  ...change,
});

const report = (startMin: number, change: Partial<RanReport> = {}): RanReport => ({
  kind: 'ran',
  output: 'mqtt',
  stationId: 's-1',
  startMs: min(startMin),
  runS: 240,
  flowLPerMin: null,
  atMs: min(startMin + 4),
  ...change,
});

function stateAt(
  nowMin: number,
  given: { plan?: Partial<ConfirmedRuns>; reports?: RanReport[] } = {},
): RunStateName | undefined {
  const { runs } = reconcile({
    confirmed: [plan(given.plan)],
    reports: given.reports ?? [],
    byHand: [],
    nowMs: min(nowMin),
    rule,
  });
  return runs[0]?.state;
}

const receipt = (answer: 'accepted' | 'rejected' | 'unknown') => [
  order({ receipt: { answer, atMs: min(2) } }),
];
const other = report(10, { stationId: 's-9' });
const unsent = order({ sentMs: null, triedMs: null });

const runByRun = (what: 'claimed' | 'missed' | 'accepted' | 'rejected' | 'unknown') => [
  order({ runs: new Map([[runKey('s-1', min(60)), what]]) }),
];

interface Row {
  name: string;
  nowMin: number;
  is: RunStateName;
  plan?: Partial<ConfirmedRuns>;
  reports?: RanReport[];
}

const ROWS: Row[] = [
  { name: 'confirmed, not sent', nowMin: 1, plan: { orders: [unsent] }, is: 'planned' },
  {
    name: 'tried, nobody knows',
    nowMin: 5,
    plan: { orders: [order({ sentMs: null })] },
    is: 'unknown',
  },
  {
    name: 'tried in vain until after its end',
    nowMin: 90,
    plan: { orders: [order({ sentMs: null })] },
    is: 'unknown',
  },
  { name: 'taken by the output', nowMin: 5, is: 'sent' },
  {
    name: 'accepted by the receiver',
    nowMin: 5,
    plan: { orders: receipt('accepted') },
    is: 'accepted',
  },
  {
    name: 'refused by the receiver',
    nowMin: 5,
    plan: { orders: receipt('rejected') },
    is: 'rejected',
  },
  {
    name: 'the receiver does not know',
    nowMin: 5,
    plan: { orders: receipt('unknown') },
    is: 'unknown',
  },
  {
    name: 'refused by the output',
    nowMin: 5,
    plan: { orders: [order({ sentMs: null, rejectedMs: min(1) })] },
    is: 'rejected',
  },
  { name: 'under way', nowMin: 62, is: 'sent' },
  { name: 'over, nothing reports', nowMin: 65, is: 'assumed' },
  { name: 'over, the report still due', nowMin: 70, reports: [other], is: 'sent' },
  { name: 'over, not reported', nowMin: 75, reports: [other], is: 'missing' },
  {
    name: 'over, another output reports',
    nowMin: 75,
    reports: [{ ...other, output: 'second' }],
    is: 'assumed',
  },
  {
    name: 'over, the output last reported eight days before',
    nowMin: 75,
    reports: [{ ...other, atMs: min(64 - 8 * 1440) }],
    is: 'assumed',
  },
  {
    name: 'over, the output first reports a run of two days after',
    nowMin: 2 * 1440 + 75,
    reports: [{ ...other, startMs: min(2 * 1440), atMs: min(2 * 1440 + 4) }],
    is: 'assumed',
  },
  { name: 'reported', nowMin: 75, reports: [report(61)], is: 'ran' },
  { name: 'reported for another time', nowMin: 75, reports: [report(49)], is: 'missing' },
  { name: 'never sent in time', nowMin: 61, plan: { orders: [unsent] }, is: 'missed' },
  {
    name: 'sent after its start, not tried before',
    nowMin: 75,
    plan: { orders: [order({ sentMs: min(61), triedMs: min(61) })] },
    is: 'missed',
  },
  {
    name: 'sent after its start, tried before',
    nowMin: 75,
    plan: { orders: [order({ sentMs: min(61), triedMs: min(5) })] },
    is: 'unknown',
  },
  {
    name: 'missed at the confirm',
    nowMin: 75,
    plan: { runs: [], missed: [run(60)] },
    is: 'missed',
  },
  {
    name: 'on hold before its start',
    nowMin: 75,
    plan: { holds: [{ atMs: min(30), beds: ['bed-1'] }] },
    is: 'withdrawn',
  },
  {
    name: 'on hold after its start',
    nowMin: 62,
    plan: { holds: [{ atMs: min(61), beds: 'all' }] },
    is: 'sent',
  },
  {
    name: 'another bed on hold',
    nowMin: 5,
    plan: { holds: [{ atMs: min(30), beds: ['bed-2'] }] },
    is: 'sent',
  },
  {
    name: 'ran though on hold',
    nowMin: 75,
    plan: { holds: [{ atMs: min(30), beds: 'all' }] },
    reports: [report(60)],
    is: 'ran',
  },
  { name: 'sent at its start', nowMin: 62, plan: { orders: runByRun('accepted') }, is: 'sent' },
  {
    name: 'cut off while it was sent',
    nowMin: 62,
    plan: { orders: runByRun('claimed') },
    is: 'unknown',
  },
  { name: 'too late to be sent', nowMin: 62, plan: { orders: runByRun('missed') }, is: 'missed' },
  {
    name: 'refused at its start',
    nowMin: 62,
    plan: { orders: runByRun('rejected') },
    is: 'rejected',
  },
  { name: 'no output at all, to come', nowMin: 5, plan: { orders: [] }, is: 'sent' },
  { name: 'no output at all, over', nowMin: 75, plan: { orders: [] }, is: 'assumed' },
  {
    name: 'a file has it, a receiver accepted it',
    nowMin: 5,
    plan: { orders: [order({ output: 'file' }), ...receipt('accepted')] },
    is: 'accepted',
  },
  {
    name: 'a file has it, the broker is away',
    nowMin: 5,
    plan: { orders: [order({ output: 'file' }), order({ sentMs: null })] },
    is: 'unknown',
  },
  {
    name: 'a file has it, another output waits',
    nowMin: 1,
    plan: { orders: [order({ output: 'file' }), unsent] },
    is: 'planned',
  },
];

describe('reconcile', () => {
  it.each(ROWS)('$name: $is', ({ nowMin, is, ...given }) => {
    expect(stateAt(nowMin, given)).toBe(is);
  });

  it('has a row for every state', () => {
    expect(new Set(ROWS.map((row) => row.is)).size).toBe(10);
    expect(ROWS).toHaveLength(34);
  });

  const reconciled = (given: {
    confirmed: ConfirmedRuns[];
    reports?: RanReport[];
    byHand?: { stationId: string | null; startMs: number }[];
    nowMin?: number;
  }) =>
    reconcile({
      confirmed: given.confirmed,
      reports: given.reports ?? [],
      byHand: given.byHand ?? [],
      nowMs: min(given.nowMin ?? 300),
      rule,
    });

  it('takes seconds and flow from the report, the nearest of two', () => {
    const { runs, strays } = reconciled({
      confirmed: [plan({ runs: [run(60), run(68)] })],
      reports: [report(67, { runS: 200, flowLPerMin: 90 }), report(61)],
    });
    expect(runs.map((one) => one.actual?.startMs)).toEqual([min(61), min(67)]);
    expect(runs[1]?.actual).toMatchObject({ runS: 200, flowLPerMin: 90, output: 'mqtt' });
    expect(strays).toEqual([]);
  });

  it('takes the last word of a report that comes again, and counts it once', () => {
    const { runs, strays } = reconciled({
      confirmed: [plan()],
      reports: [report(60, { runS: 240 }), report(60, { runS: 900 })],
    });
    expect(runs[0]?.actual?.runS).toBe(900);
    expect(strays).toEqual([]);
  });

  it('counts one opening once that two outputs report', () => {
    const { runs, strays } = reconciled({
      confirmed: [plan()],
      reports: [report(60), report(61, { output: 'second' })],
    });
    expect(runs[0]?.actual?.output).toBe('mqtt');
    expect(strays).toEqual([]);
  });

  it('tells what nobody asked for, but not what a person ran', () => {
    const { strays } = reconciled({
      confirmed: [plan()],
      reports: [report(60), report(120), report(200, { stationId: 's-2' })],
      byHand: [{ stationId: 's-2', startMs: min(195) }],
    });
    expect(strays.map((stray) => stray.startMs)).toEqual([min(120)]);
  });

  it('leaves out what a later confirm replaced, and lists a run that both have once', () => {
    const before = plan({ runs: [run(60), run(120)], replacedMs: min(90) });
    const after = plan({ revision: 2, runs: [run(130)], missed: [run(60)] });
    const { runs } = reconciled({ confirmed: [before, after] });
    expect(runs.map(({ run: one, state, revision }) => [one.startMs, state, revision])).toEqual([
      [min(60), 'assumed', 1],
      [min(130), 'assumed', 2],
    ]);
  });

  it('calls a run of the replaced plan that ran all the same a stray', () => {
    const before = plan({ runs: [run(120)], replacedMs: min(90) });
    const after = plan({ revision: 2, runs: [run(180)] });
    const { runs, strays } = reconciled({
      confirmed: [before, after],
      reports: [report(120), report(180)],
    });
    expect(runs.map((one) => one.state)).toEqual(['ran']);
    expect(strays).toHaveLength(1);
  });
});
