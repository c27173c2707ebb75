import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { blockOfTurns, cycleBlock } from '../../../calc/schedule/cycle-block.ts';
import { type DayPlanInput, planDay } from '../../../calc/schedule/plan-day.ts';
import type { Station } from '../../../calc/schedule/site.ts';
import { bigSite } from '../../bench/big-site.ts';

const HOUR_MS = 3_600_000;
/** What a bed of which nothing is known is taken to have left. */
const UNKNOWN_FRACTION = 0.2;
const BED = 'green-1';

type Kind = Pick<Station, 'precipitationRateMmPerH' | 'rotationS'>;

/** An invented day of one bed under stations of these kinds. */
function dayUnder(kinds: readonly Kind[], change: Partial<DayPlanInput> = {}): DayPlanInput {
  const day = bigSite(1);
  const [pattern] = day.site.stations;
  if (pattern === undefined) throw new Error('a bed without stations');
  const stations = kinds.map((kind, at) => ({ ...pattern, ...kind, id: `${BED}-${at + 1}` }));
  const limits = { ...day.site.limits, pumpFlowLPerMin: 1000, leastRunS: 0 };
  return { ...day, ...change, site: { ...day.site, stations, limits } };
}

const FULL = { precipitationRateMmPerH: 18, rotationS: 150 };
const HALF = { precipitationRateMmPerH: 18, rotationS: 75 };

/** The day's net depth of each station, added up from the runs as an outsider would. */
function netOf(plan: ReturnType<typeof planDay>, day: DayPlanInput): number[] {
  return day.site.stations.map(({ id }) =>
    plan.runs.filter((run) => run.stationId === id).reduce((sum, run) => sum + run.netMm, 0),
  );
}

/** Net depth of one turn of each station at the plan's mildest loss in flight, mm. */
function turnOf(kinds: readonly Kind[]): number[] {
  return kinds.map((kind) => (kind.precipitationRateMmPerH * kind.rotationS) / 3600);
}

/**
 * A part of a bed by arithmetic of its own: a stated store loses the hour's demand evenly and takes
 * water up to full; how long it stands below its limit in daylight.
 */
function dryMinutes(
  day: DayPlanInput,
  plan: ReturnType<typeof planDay>,
  stationId: string,
): number {
  const [bed] = day.site.beds;
  const stated = bed?.sand.stated;
  if (bed === undefined || stated == null) throw new Error('a bed without a stated store');
  const runs = plan.runs.filter((run) => run.stationId === stationId);
  let levelMm = stated.capacityMm * UNKNOWN_FRACTION;
  let minutes = 0;
  for (let atMs = day.startMs; atMs < (plan.sunsetMs ?? 0); atMs += 60_000) {
    const hour = day.hours.find((one) => one.startMs <= atMs && atMs < one.startMs + HOUR_MS);
    const demandMm = ((hour?.referenceEtMm ?? 0) * 1.1) / 60;
    const givenMm = runs.reduce((sum, run) => {
      const overlapMs =
        Math.min(atMs + 60_000, run.startMs + run.runS * 1000) - Math.max(atMs, run.startMs);
      return sum + (run.netMm * Math.max(0, overlapMs)) / (run.runS * 1000);
    }, 0);
    const fedMm = Math.min(demandMm, stated.feedMmPerH / 60);
    levelMm = Math.min(stated.capacityMm, levelMm + givenMm + fedMm - demandMm);
    if (levelMm < -0.02 && atMs >= (plan.sunriseMs ?? 0)) minutes += 1;
  }
  return minutes;
}

describe('a bed under a full circle and a half circle', () => {
  const day = dayUnder([FULL, HALF]);
  const plan = planDay(day);
  const [bed] = plan.beds;

  it('gives both parts the same depth: the half circle turns twice as often', () => {
    const [full = 0, half = 0] = netOf(plan, day);
    expect(full).toBeGreaterThan(4);
    expect(Math.abs(full - half)).toBeLessThan(0.4);
    for (const run of plan.runs.filter(({ stationId }) => stationId.endsWith('-2'))) {
      const beside = plan.runs.find(
        (one) => one.stationId.endsWith('-1') && one.cycle === run.cycle,
      );
      expect(run.rotations).toBe(2 * (beside?.rotations ?? 0));
    }
  });

  it("tells each station's day, and the bed's as that of the one that gets least", () => {
    const net = netOf(plan, day);
    expect(bed?.stations?.map((one) => one.netMm)).toEqual(net);
    expect(bed?.percentOfLoss).toBeCloseTo((100 * Math.min(...net)) / (bed?.lossMm ?? 0), 9);
  });
});

describe('stations of any kind', () => {
  const kind = fc.record({
    precipitationRateMmPerH: fc.double({ min: 6, max: 36, noNaN: true }),
    rotationS: fc.integer({ min: 45, max: 300 }),
  });

  it('keep all parts within a turn of each other over the day, and none dry unseen', () => {
    fc.assert(
      fc.property(fc.array(kind, { minLength: 2, maxLength: 4 }), (kinds) => {
        // Turns that any of these stores has room for.
        fc.pre(turnOf(kinds).every((mm) => mm < 0.6));
        const day = dayUnder(kinds);
        const plan = planDay(day);
        const net = netOf(plan, day);
        const spreadMm = Math.max(...net) - Math.min(...net);
        expect(spreadMm).toBeLessThanOrEqual(Math.max(...turnOf(kinds)) + 0.05);
        const told = plan.beds[0]?.minutesBelowDryLimit ?? 0;
        for (const { id } of day.site.stations) {
          expect(dryMinutes(day, plan, id)).toBeLessThanOrEqual(told + 10);
        }
      }),
      { numRuns: 15, seed: 11 },
    );
  });

  it('is told where one turn of one station is more than the others can be given', () => {
    const day = dayUnder([{ precipitationRateMmPerH: 36, rotationS: 300 }, HALF]);
    const plan = planDay(day);
    const net = netOf(plan, day);
    expect(Math.max(...net) - Math.min(...net)).toBeGreaterThan(3);
    const told = plan.warnings.filter((one) => one.code === 'stations_differ');
    expect(told.map((one) => one.bedId)).toEqual([BED]);
    expect(plan.beds[0]?.drainedMm).toBeGreaterThan(1);
    expect(planDay(dayUnder([FULL, HALF])).warnings.map((one) => one.code)).not.toContain(
      'stations_differ',
    );
  });

  it('bring up a part that stands drier than the other', () => {
    const fine = { precipitationRateMmPerH: 6, rotationS: 100 };
    const dry = dayUnder([fine, fine], {
      statesNow: new Map([[BED, { [`storeMm@${BED}-1`]: 0.75, [`storeMm@${BED}-2`]: 0 }]]),
    });
    const [first = 0, second = 0] = netOf(planDay(dry), dry);
    expect(second - first).toBeGreaterThan(0.3);
    expect(second - first).toBeLessThan(0.9);
  });
});

describe('a cycle of unlike stations', () => {
  const [pattern] = bigSite(1).site.stations;
  if (pattern === undefined) throw new Error('a bed without stations');
  const { limits } = bigSite(1).site;
  const ground = (kinds: readonly Kind[]) => ({
    stations: kinds.map((kind, at) => ({ ...pattern, ...kind, id: `s${at}` })),
    driftLossFraction: 0,
    limits: { ...limits, leastRunS: 0 },
  });
  const turnsOf = (block: ReturnType<typeof cycleBlock>) => block.runs.map((run) => run.rotations);

  it.each([
    // Turns of 0.75 and 0.375 mm: two and four come to 1.5 mm.
    { kinds: [FULL, HALF], netMm: 1.6, turns: [2, 4] },
    // 0.75 and 0.5 mm: of 0.75 mm one turn of 0.5 is as near as two; over the room it may not go.
    { kinds: [FULL, { ...FULL, rotationS: 100 }], netMm: 0.8, turns: [1, 1] },
    // 0.75 and 0.28 mm: three turns of 0.28 (0.84) are nearer to 0.75 than two, and fit.
    { kinds: [FULL, { ...FULL, rotationS: 56 }], netMm: 0.85, turns: [1, 3] },
    { kinds: [FULL, { ...FULL, rotationS: 56 }], netMm: 0.8, turns: [1, 2] },
  ])('of $netMm mm turns $turns', ({ kinds, netMm, turns }) => {
    expect(turnsOf(cycleBlock({ ...ground(kinds), netMm }))).toEqual(turns);
  });

  it('gives the drier part as much more', () => {
    const block = cycleBlock({ ...ground([FULL, HALF]), netMm: 0.8, drierMm: [0, 0.4] });
    expect(turnsOf(block)).toEqual([1, 3]);
  });

  it('asks for one turn less by the depth that it names', () => {
    const block = cycleBlock({ ...ground([FULL, HALF]), netMm: 2.3 });
    expect(turnsOf(block)).toEqual([3, 6]);
    const less = cycleBlock({ ...ground([FULL, HALF]), netMm: block.oneFewerMm + 1e-9 });
    expect(turnsOf(less)).toEqual([2, 4]);
  });

  it('runs the turns that it is told', () => {
    expect(turnsOf(blockOfTurns(ground([FULL, HALF]), [3, 5]))).toEqual([3, 5]);
  });
});
