import { describe, expect, it } from 'vitest';
import { STAGES, type StageName } from '../../../calc/growth/stages.ts';
import { type BedBalance, seriesOf } from '../../../calc/schedule/bed-balance.ts';
import {
  asKeptCycles,
  deepRefills,
  type NightDay,
  nightCycles,
} from '../../../calc/schedule/night-cycles.ts';
import type { PlacedCycle } from '../../../calc/schedule/placement-pass.ts';
import type { Bed } from '../../../calc/schedule/site.ts';
import { at, type HandBed, handInput, minutesOf } from '../../laid-day.ts';
import { smallDay } from '../../small-day.ts';

interface NightBed extends HandBed {
  stage?: StageName;
  seededOn?: string;
}

function night(
  beds: readonly NightBed[],
  change: Partial<NightDay> = {},
  hand: Parameters<typeof handInput>[1] = {},
): NightDay {
  const [base] = smallDay({}).site.beds;
  if (base === undefined) throw new Error('no bed');
  const input = handInput(beds, hand);
  return {
    ...input,
    beds: input.beds.map((one, index) => {
      const { stage = 'first_mow', seededOn = '2026-06-26' } = beds[index] ?? {};
      const bed: Bed = { ...base, id: one.bed.id, stage, seededOn };
      return { ...one, bed };
    }),
    siteDay: '2026-07-01',
    night: { dryWind: false, firstNight: false, deepRefill: null },
    stages: STAGES,
    ...change,
  };
}

const places = (cycles: readonly PlacedCycle[]) =>
  cycles.map(({ bedId, startMs, block }) => `${bedId} ${minutesOf(startMs)}:${block.rotations}`);

describe('the deep refill', () => {
  const none = { dryWind: false, firstNight: false };
  const refill = (fromMin: number, toMin: number) => ({
    night: { ...none, deepRefill: { startMs: at(fromMin), endMs: at(toMin) } },
  });
  const refills = (
    beds: readonly NightBed[],
    hours = refill(200, 220),
    hand: Parameters<typeof handInput>[1] = {},
    change: Partial<NightDay> = {},
  ) => places(deepRefills(night(beds, { ...hours, ...change }, hand)));

  it('is one cycle as late in its hours as it fits, up to the cap', () => {
    // Three turns of two minutes: 1.8 mm of the 2 mm that may be given.
    const day = night([{ id: 'a' }], refill(200, 220));
    const [cycle, ...others] = deepRefills(day);
    expect(others).toEqual([]);
    expect(places(cycle === undefined ? [] : [cycle])).toEqual(['a 214:3']);
    expect(cycle?.reasons).toEqual([{ code: 'night_water', exception: 'deep_refill' }]);
    expect(cycle?.drainedMm).toBe(0);
    // 1 - 2.2 mm at 220 min, and 1.8 mm given.
    expect(marginAt(day.beds[0]?.balance, 44)).toBeCloseTo(0.6, 9);
    expect(refills([{ id: 'a', doseCapMm: 1.7 }])).toEqual(['a 216:2']);
  });

  it('is for beds with roots, where a site takes it, in hours that are still to come', () => {
    expect(refills([{ id: 'a', stage: 'germination' }])).toEqual([]);
    expect(places(deepRefills(night([{ id: 'a' }])))).toEqual([]);
    expect(refills([{ id: 'a' }], refill(200, 200))).toEqual([]);
    expect(refills([{ id: 'a' }], refill(200, 220), { startMs: at(214) })).toEqual(['a 214:3']);
    expect(refills([{ id: 'a' }], refill(200, 220), { startMs: at(214.5) })).toEqual([]);
    expect(refills([{ id: 'a' }], refill(200, 220), { startMs: at(220) })).toEqual([]);
  });

  it('leaves room for the rain that is foretold until tomorrow’s first start', () => {
    const rain = (step: number, rainMm: number): NightBed => ({
      id: 'a',
      rainMm: (one) => (one === step ? rainMm : 0),
    });
    const until = (minute: number) => ({
      window: { firstStartMs: at(0), lastEndMs: at(180), nextFirstStartMs: at(minute) },
    });
    // Room of 2.55 mm at 215 min for 1.5 mm and one turn.
    expect(refills([rain(46, 1.5)])).toEqual(['a 218:1']);
    expect(refills([rain(46, 1.5)], refill(200, 220), until(231))).toEqual(['a 218:1']);
    expect(refills([rain(46, 1.5)], refill(200, 220), until(230))).toEqual(['a 214:3']);
    expect(refills([rain(46, 2)])).toEqual([]);
    // It rains while the refill would run.
    expect(refills([rain(43, 1.5)])).toEqual(['a 218:1']);
  });

  it('is none where the store has no room for the stage’s least dose, or half of itself', () => {
    // A first mow takes 2 mm at least; half of what is held is less: 0.75 mm.
    const lossMm = (mm: number) => (step: number) => (step < 20 ? mm / 20 : 0);
    expect(refills([{ id: 'a', lossMm: lossMm(0.2) }])).toEqual([]);
    expect(refills([{ id: 'a', lossMm: lossMm(0.3) }])).toEqual(['a 218:1']);
  });

  it('comes to the driest bed first, of equals to the first by id', () => {
    const onePump = { limits: { pumpFlowLPerMin: 150 } };
    expect(refills([{ id: 'b' }, { id: 'a' }], refill(200, 220), onePump)).toEqual([
      'a 214:3',
      'b 208:3',
    ]);
    const drier = [{ id: 'b', storeMm: 0.9 }, { id: 'a' }];
    expect(refills(drier, refill(200, 220), onePump)).toEqual(['b 214:3', 'a 208:3']);
    expect(refills(drier, refill(210, 220), onePump)).toEqual(['b 214:3']);
  });

  it('rests from what has run, beside what runs still, and keeps off', () => {
    const run = (bedId: string, fromMin: number, runMin: number) => ({
      ...{ bedId, startMs: at(fromMin), endMs: at(fromMin + runMin) },
      ...{ grossMm: 0.6, netMm: 0.6, rotations: 1, driftLossFraction: 0 },
      runs: [
        {
          ...{ bedId, stationId: `${bedId}-0`, startMs: at(fromMin), runS: runMin * 60, cycle: 1 },
          ...{ rotations: 1, grossMm: 0.6, netMm: 0.6 },
        },
      ] as never,
    });
    const rest = (minute: number) =>
      refills([{ id: 'a' }], refill(200, 220), { kept: [run('a', minute, 2)] });
    expect(rest(182)).toEqual(['a 214:3']);
    expect(rest(182.5)).toEqual([]);
    const other = { kept: [run('b', 212, 4)], limits: { pumpFlowLPerMin: 150 } };
    expect(
      refills([{ id: 'a' }, { id: 'b', stage: 'germination' }], refill(200, 220), other),
    ).toEqual(['a 206:3']);
    expect(refills([{ id: 'a', keepOffs: [[215, 230, 'mow']] }])).toEqual(['a 209:3']);
  });
});

describe('a cycle at night', () => {
  const part = { startMs: at(0), endMs: at(60), untilMs: at(120) };
  const first = { night: { dryWind: false, firstNight: true, deepRefill: null } };
  const windy = { night: { dryWind: true, firstNight: false, deepRefill: null } };
  const isWindyAt = () => true;
  const cycles = (
    beds: readonly NightBed[],
    change: Partial<NightDay>,
    hand: Parameters<typeof handInput>[1] = {},
    own = part,
  ) => nightCycles(night(beds, change, hand), 'early', own);

  it('is owed in the first night after seeding', () => {
    const day = [{ id: 'a', seededOn: '2026-06-30' }, { id: 'b' }];
    const found = cycles(day, first);
    expect(found.map(({ bedId }) => bedId)).toEqual(['a']);
    expect(found[0]?.reasons[0]).toEqual({ code: 'night_water', exception: 'first_night' });
    expect(cycles(day, windy)).toEqual([]);
    expect(cycles(day, first, {}, { ...part, endMs: at(0) })).toEqual([]);
  });

  it('is owed to a bed that a wind all night would empty before the morning', () => {
    const found = cycles([{ id: 'a' }, { id: 'b', storeMm: 1.3 }], windy, { isWindyAt });
    // 1 mm is gone at 100 min, 1.3 mm not by 120.
    expect(found.map(({ bedId }) => bedId)).toEqual(['a']);
    expect(found[0]?.reasons[0]).toEqual({ code: 'night_water', exception: 'dry_wind' });
    const exact: NightBed = { id: 'a', lossMm: () => 1 / 16 };
    const until = (minute: number) =>
      cycles([exact], windy, { isWindyAt }, { ...part, untilMs: at(minute) }).length;
    // It is empty at 80 min to the bit.
    expect([until(80), until(81)]).toEqual([0, 1]);
    expect(cycles([{ id: 'a' }], windy, { isWindyAt: (ms) => ms < at(60) })).toEqual([]);
    expect(cycles([{ id: 'a' }], windy)).toEqual([]);
    expect(cycles([{ id: 'a' }], first, { isWindyAt })).toEqual([]);
    expect(cycles([{ id: 'a', lossMm: () => 0.01 }], windy, { isWindyAt })).toEqual([]);
  });

  it('stands for others as one that was kept', () => {
    const found = deepRefills(
      night([{ id: 'a' }], {
        night: { ...first.night, deepRefill: { startMs: at(200), endMs: at(220) } },
      }),
    );
    const [kept] = asKeptCycles(found);
    expect(kept).toMatchObject({ bedId: 'a', startMs: at(214), endMs: at(220), rotations: 3 });
    expect(kept?.runs.map(({ cycle, runS }) => [cycle, runS])).toEqual([[0, 360]]);
  });
});

function marginAt(balance: BedBalance | undefined, step: number): number | undefined {
  return balance === undefined ? undefined : seriesOf(balance).marginMm[step];
}
