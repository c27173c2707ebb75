import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { libraryStore, type SandMember } from '../../../calc/futures/sand-members.ts';
import { modelStore } from '../../../calc/sand/model-store.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { plainStore, stateOfRow, writeRow } from '../../../calc/sand/seedbed-store.ts';
import {
  adoptBalance,
  type BedBalance,
  bookWater,
  copyBalance,
  dryBalance,
  seriesOf,
  stateOfStep,
} from '../../../calc/schedule/bed-balance.ts';
import { bedFollower } from '../../../calc/schedule/bed-followed.ts';
import {
  atRiskAlone,
  dryRiskOf,
  firstAtRiskMs,
  firstDryMs,
  leftMmOf,
  roomsAt,
} from '../../../calc/schedule/bed-moisture.ts';
import { takenBack } from '../../../calc/schedule/run.ts';
import { smallStation } from '../../small-day.ts';

const START_MS = Date.parse('2026-07-01T05:00:00Z');
const STEP_MS = 300_000;
const STEPS = 36;
const at = (step: number) => START_MS + step * STEP_MS;
const grid = { startMs: START_MS, steps: STEPS };

const member = (
  capacityMm: number,
  weightFraction: number,
  change: Partial<SandMember> = {},
): SandMember => ({
  store: plainStore({ capacityMm, feedMmPerH: 0.05 }),
  weightFraction,
  lossFactor: 1,
  nightFraction: 0,
  ...change,
});
const modelled = sandClassModels['medium_open']?.model;
if (modelled === undefined) throw new Error('no model');
const MEMBERS: readonly SandMember[] = [
  member(0.9, 0.2, { lossFactor: 1.1, nightFraction: 0.4 }),
  member(1.2, 0.5),
  member(1, 0.3, { store: modelStore(modelled), lossFactor: 0.9 }),
];
const STATIONS = [
  smallStation('full', {}),
  smallStation('half', { precipitationRateMmPerH: 36, rotationS: 50 }),
];

const demand = fc
  .array(fc.integer({ min: -20, max: 150 }), { minLength: STEPS, maxLength: STEPS })
  .map((microns) => Float64Array.from(microns, (one) => one / 1000));
const rain = new Float64Array(STEPS);
const booking = fc.record({
  fromStep: fc.integer({ min: 0, max: STEPS - 4 }),
  lateMin: fc.integer({ min: 0, max: 4 }),
  lastsMin: fc.integer({ min: 1, max: 12 }),
  netMm: fc.double({ min: 0.1, max: 1.2, noNaN: true }),
  station: fc.constantFrom('full', 'half'),
});
type Booking = typeof booking extends fc.Arbitrary<infer T> ? T : never;

const waterOf = ({ fromStep, lateMin, lastsMin, netMm, station }: Booking) => [
  {
    stationId: station,
    startMs: at(fromStep) + lateMin * 60_000,
    endMs: at(fromStep) + (lateMin + lastsMin) * 60_000,
    netMm,
  },
];
const balanceOf = (demandMm: Float64Array, riskFraction = 0.05): BedBalance => {
  const store = libraryStore(MEMBERS);
  return dryBalance({
    store,
    grid,
    demand: { demandMm, rainMm: rain },
    stateNow: store.stateAt(0.7, 0.5),
    stations: STATIONS,
    riskFraction,
  });
};
const closeTo = (found: ArrayLike<number>, wanted: ArrayLike<number>, what: string, digits = 9) => {
  expect(found.length).toBe(wanted.length);
  for (let i = 0; i < wanted.length; i++)
    expect(found[i], `${what} ${i}`).toBeCloseTo(wanted[i] ?? 0, digits);
};

describe('a bed followed in its futures', () => {
  it('takes every sand of every part through its own store, and drains the mean of the wettest parts', () => {
    const futures = MEMBERS.map((own, index) => ({
      member: own,
      index,
      weightFraction: own.weightFraction,
      demandMm: Float64Array.of(0.06, -0.01),
      rainMm: Float64Array.of(0.2, 0),
    }));
    const two = { startMs: START_MS, steps: 2 };
    const follower = bedFollower({ futures, parts: 2, grid: two, riskFraction: 0.05 });
    const state = { rows: new Float64Array(follower.width), from: 0 };
    const starts = [0.5, 1].map((part) => MEMBERS.map(({ store }) => store.stateAt(part, 0.5)));
    for (const [part, own] of starts.entries()) {
      for (const [k, { store }] of MEMBERS.entries()) {
        writeRow(state.rows, follower.offsetOf(part, k), store.rows, own[k] ?? store.full);
      }
    }
    const next = { rows: new Float64Array(follower.width), from: 0 };
    const before = state.rows.slice();
    const drainedMm = follower.step(state, next, 0, [0.1, 0.7]);
    expect(state.rows).toEqual(before);
    let wantedMm = 0;
    const marginsMm: number[] = [];
    for (const [k, { store, weightFraction }] of MEMBERS.entries()) {
      // Rows of a modelled sand read their flows off tables, good to 1e-5 mm.
      const digits = store.isAdditive ? 9 : 4;
      const after = starts.map((own, part) =>
        store.step(own[k] ?? store.full, {
          waterMm: 0.2 + (part === 0 ? 0.1 : 0.7),
          demandMm: 0.06,
          hours: 1 / 12,
        }),
      );
      wantedMm += weightFraction * Math.max(...after.map((one) => one.drainedMm));
      marginsMm.push(Math.min(...after.map((one) => store.marginMm(one.state, 0))));
      for (const [part, one] of after.entries()) {
        const found = stateOfRow(next.rows, follower.offsetOf(part, k), store.rows);
        for (const name of store.rows.names) {
          expect(found[name]).toBeCloseTo(one.state[name] ?? Number.NaN, digits);
        }
      }
    }
    expect(drainedMm).toBeCloseTo(wantedMm, 4);
    expect(wantedMm).toBeGreaterThan(0);
    // The second step's dew asks nothing: margins are those of a demand of 0.
    closeTo(follower.marginsMm(next, 1), marginsMm, 'margin', 4);
    // A step may also be taken where the state stands.
    follower.step(state, state, 0, [0.1, 0.7]);
    closeTo(state.rows, next.rows, 'row');
  });

  it('is what it is whether it was asked all along or once at the end', () => {
    const ask = fc.constantFrom('series', 'left', 'step', 'risk', 'room', 'copy', 'adopt', 'none');
    const acts = fc.array(
      fc.record({
        booking,
        ask,
        askStep: fc.integer({ min: 0, max: STEPS }),
        isBack: fc.boolean(),
      }),
      { minLength: 1, maxLength: 6 },
    );
    fc.assert(
      fc.property(demand, acts, (demandMm, some) => {
        const asked = balanceOf(demandMm);
        const fresh = balanceOf(demandMm);
        for (const act of some) {
          let tried = asked;
          if (act.ask === 'copy' || act.ask === 'adopt') tried = copyBalance(asked);
          bookWater(tried, waterOf(act.booking));
          if (act.ask === 'series') seriesOf(tried);
          if (act.ask === 'left') leftMmOf(tried);
          if (act.ask === 'step') stateOfStep(tried, act.askStep);
          if (act.ask === 'risk') firstAtRiskMs(tried, at(act.askStep) - 1000);
          if (act.ask === 'room') roomsAt(tried, at(act.askStep));
          if (act.ask === 'copy') {
            // What becomes of a copy is no matter of its own.
            leftMmOf(tried);
            continue;
          }
          if (act.ask === 'adopt') adoptBalance(asked, tried);
          if (act.isBack) bookWater(asked, takenBack(waterOf(act.booking)));
          else bookWater(fresh, waterOf(act.booking));
        }
        for (const name of [
          'marginMm',
          'riskMarginMm',
          'lowerMarginMm',
          'upperMarginMm',
          'drainedMm',
        ] as const) {
          closeTo(seriesOf(asked)[name], seriesOf(fresh)[name], name);
        }
        closeTo(stateOfStep(asked, STEPS).rows, stateOfStep(fresh, STEPS).rows, 'row');
        closeTo(leftMmOf(asked), leftMmOf(fresh), 'left');
        for (const step of [0, 7.5, 20]) {
          closeTo(roomsAt(asked, at(step)), roomsAt(fresh, at(step)), 'room');
        }
      }),
      { seed: 31, numRuns: 40 },
    );
  });

  it('is due no later for a lower risk', () => {
    const risk = fc.double({ min: 0.01, max: 0.5, noNaN: true });
    fc.assert(
      fc.property(demand, fc.array(booking, { maxLength: 2 }), risk, risk, (loss, cycles, a, b) => {
        const dueMs = (riskFraction: number) => {
          const balance = balanceOf(loss, riskFraction);
          bookWater(balance, ...cycles.map(waterOf));
          return firstAtRiskMs(balance, START_MS) ?? Number.POSITIVE_INFINITY;
        };
        expect(dueMs(Math.min(a, b))).toBeLessThanOrEqual(dueMs(Math.max(a, b)) + 1e-3);
        const balance = balanceOf(loss);
        bookWater(balance, ...cycles.map(waterOf));
        expect(dueMs(0.05)).toBeLessThanOrEqual(
          (firstDryMs(balance, START_MS) ?? Number.POSITIVE_INFINITY) + 1e-3,
        );
      }),
      { seed: 32, numRuns: 60 },
    );
  });

  it('asks for no less water at the same risk where its loss is less sure', () => {
    const spread = fc.double({ min: 0, max: 0.4, noNaN: true });
    const sure = [-1.5, -0.75, 0, 0.75, 1.5];
    const unsure = (spreadFraction: number) =>
      libraryStore(sure.map((off) => member(1.2, 0.2, { lossFactor: 1 + spreadFraction * off })));
    fc.assert(
      fc.property(
        demand,
        fc.array(booking, { maxLength: 3 }),
        spread,
        spread,
        (loss, cycles, a, b) => {
          const of = (spreadFraction: number) => {
            const store = unsure(spreadFraction);
            const full = { demandMm: loss, rainMm: rain };
            const balance = dryBalance({
              store,
              grid,
              demand: full,
              stateNow: store.stateAt(0.6, 0.5),
            });
            bookWater(balance, ...cycles.map(waterOf));
            return balance;
          };
          const [less, more] = [of(Math.min(a, b)), of(Math.max(a, b))];
          for (let step = 0; step <= STEPS; step++) {
            const [lessMm, moreMm] = [less, more].map(
              (one) => seriesOf(one).riskMarginMm[step] ?? 0,
            );
            expect(moreMm).toBeLessThanOrEqual((lessMm ?? 0) + 1e-9);
          }
          const dueMs = (one: BedBalance) =>
            firstAtRiskMs(one, START_MS) ?? Number.POSITIVE_INFINITY;
          expect(dueMs(more)).toBeLessThanOrEqual(dueMs(less) + 1e-3);
        },
      ),
      { seed: 33, numRuns: 60 },
    );
  });

  it('is dry at all in as much of its weight as is dry at any step that counts', () => {
    const store = libraryStore([member(0.3, 0.1), member(0.6, 0.3), member(1, 0.6)]);
    const demandMm = Float64Array.from({ length: STEPS }, () => 0.02 + 0.05 / 12);
    const balance = dryBalance({
      store,
      grid,
      demand: { demandMm, rainMm: rain },
      stateNow: store.full,
    });
    // 0.02 mm in a step beside what rises: 0.72 mm in all.
    expect(dryRiskOf(balance, () => true)).toBeCloseTo(0.4, 9);
    expect(dryRiskOf(balance, (ms) => ms <= at(28))).toBeCloseTo(0.1, 9);
    expect(dryRiskOf(balance, () => false)).toBe(0);
  });

  it('is followed alone in the sand that holds the accepted share of the weight', () => {
    const store = libraryStore([
      member(0.3, 0.02),
      member(0.4, 0.02),
      member(0.5, 0.36),
      member(1, 0.6),
    ]);
    const demandMm = Float64Array.from({ length: STEPS }, () => 0.02 + 0.05 / 12);
    const balance = dryBalance({
      store,
      grid,
      demand: { demandMm, rainMm: rain },
      stateNow: store.full,
    });
    const alone = atRiskAlone(balance);
    expect(alone.futures.map(({ index }) => index)).toEqual([2]);
    expect(seriesOf(alone).marginMm[0]).toBeCloseTo(0.5, 9);
    expect(leftMmOf(alone).length).toBe(STEPS + 1);
  });
});
