import { expect, it } from 'vitest';
import { planDocument } from '../../adapters/plan-document.ts';
import { planDay } from '../../calc/schedule/plan-day.ts';
import { siteClock } from '../../daemon/site/time/site-clock.ts';
import { inventedDay } from './invented-day.ts';

interface Told {
  made_for: { stations: { station_id: string; flow_l_per_min: number }[] };
  runs: { station_id: string; start: string; run_s: number }[];
  ground: {
    first_start: string;
    last_end: string;
    limits: { pump_flow_l_per_min: number; rest_min: number };
    hours: { start: string; reference_et_mm: number; wind_m_per_s: number }[];
  };
  beds: {
    bed_id: string;
    net_mm: number;
    expected_store: { store_mm: number[]; room_mm: number[] };
    cycles: { start: string; end: string; wanted_start: string | null }[];
  }[];
}

const ms = (instant: string) => Date.parse(instant);

it.each([7, 21, 33])(
  'a program that has the document alone can check hours, pump and rests: site %i',
  (seed) => {
    const input = inventedDay(seed, { leastBeds: 3, mostBeds: 6 });
    const { site } = input;
    const plan = planDay({ ...input, isSketch: true });
    const stations = site.stations.map(({ id, bedId, ...one }) => ({
      stationId: id,
      bedId,
      ...one,
    }));
    const madeFor = { zone: 'Etc/GMT+7', bedIds: site.beds.map(({ id }) => id), stations };
    const document = planDocument({ ...plan, madeFor } as never, siteClock('Etc/GMT+7'));
    const told = document as unknown as Told;
    expect(document.format_version).toBe(2);
    const flowOf = new Map(
      told.made_for.stations.map((one) => [one.station_id, one.flow_l_per_min] as const),
    );
    const runs = told.runs.map((run) => ({
      startMs: ms(run.start),
      endMs: ms(run.start) + run.run_s * 1000,
      flow: flowOf.get(run.station_id) ?? Number.NaN,
    }));
    expect(runs.length).toBeGreaterThan(0);
    const { first_start, last_end, limits, hours } = told.ground;
    for (const { startMs, endMs } of runs) {
      expect(startMs).toBeGreaterThanOrEqual(ms(first_start));
      expect(endMs).toBeLessThanOrEqual(ms(last_end));
      const together = runs.filter((one) => one.startMs <= startMs && one.endMs > startMs);
      const drawn = together.reduce((sum, one) => sum + one.flow, 0);
      expect(drawn).toBeLessThanOrEqual(limits.pump_flow_l_per_min + 0.1);
    }
    for (const { cycles, expected_store } of told.beds) {
      expect(expected_store.room_mm).toHaveLength(expected_store.store_mm.length);
      for (const [index, cycle] of cycles.entries()) {
        const before = cycles[index - 1];
        if (before === undefined) continue;
        const restMin = (ms(cycle.start) - ms(before.end)) / 60_000;
        expect(restMin).toBeGreaterThanOrEqual(limits.rest_min - 0.02);
      }
    }
    expect(hours.length).toBeGreaterThanOrEqual(18);
    const etMm = hours
      .filter((hour) => ms(hour.start) < input.nextDayStartMs)
      .reduce((sum, hour) => sum + hour.reference_et_mm, 0);
    expect(etMm).toBeCloseTo(plan.weather.referenceEtMm, 1);
  },
);
