import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type DayPlanInput, planDay } from '../../../calc/schedule/plan-day.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';
import { randomDay } from '../../random-site.ts';

const options = { seed: 20_260_702, numRuns: 60 };

const withHours = (input: DayPlanInput, change: (hour: EtHour) => EtHour): DayPlanInput => ({
  ...input,
  hours: input.hours.map(change),
});

/** Room for each bed alone: with shared limits one bed's gain can be another's delay. */
function eachAlone(input: DayPlanInput): DayPlanInput {
  const [bed] = input.site.beds;
  if (bed === undefined) throw new Error('a random site has a bed');
  const stations = input.site.stations.filter((station) => station.bedId === bed.id);
  return { ...input, site: { ...input.site, beds: [bed], stations }, keepOffs: [] };
}

describe('planDay in harsher and kinder weather', () => {
  it('never gives a longer time to dry for more demand', () => {
    fc.assert(
      fc.property(randomDay, fc.double({ min: 1, max: 2, noNaN: true }), (input, factor) => {
        const harsher = withHours(input, (hour) => ({
          ...hour,
          referenceEtMm: hour.referenceEtMm > 0 ? hour.referenceEtMm * factor : hour.referenceEtMm,
        }));
        const dry = (day: DayPlanInput) =>
          planDay(day).beds.map((bed) => bed.dryAtMs ?? Number.POSITIVE_INFINITY);
        const [mild, harsh] = [dry(input), dry(harsher)];
        for (const [index, atMs] of harsh.entries()) {
          expect(atMs).toBeLessThanOrEqual((mild[index] ?? 0) + 1);
        }
      }),
      options,
    );
  });

  it('never gives more irrigation for more rain, but for one whole rotation', () => {
    fc.assert(
      fc.property(randomDay, fc.double({ min: 0, max: 3, noNaN: true }), (random, moreMm) => {
        const input = eachAlone(random);
        const wetter = withHours(input, (hour) => ({ ...hour, rainMm: hour.rainMm + moreMm }));
        const net = (day: DayPlanInput) => planDay(day).beds[0]?.netMm ?? 0;
        const [dryDay] = planDay(input).beds;
        // Rain shifts when a dose is due; whole rotations then round the day's sum by one of them.
        const rotationMm = Math.max(
          0,
          ...(dryDay?.cycles ?? []).map((cycle) => cycle.netMm / cycle.rotations),
        );
        expect(net(wetter)).toBeLessThanOrEqual(net(input) + rotationMm + 1e-9);
      }),
      options,
    );
  });

  it('never has a number that is none', () => {
    fc.assert(
      fc.property(randomDay, (input) => {
        const walk = (value: unknown): void => {
          if (typeof value === 'number') expect(Number.isNaN(value)).toBe(false);
          else if (Array.isArray(value)) value.forEach(walk);
          else if (value !== null && typeof value === 'object') Object.values(value).forEach(walk);
        };
        walk(planDay(input));
      }),
      options,
    );
  });
});
