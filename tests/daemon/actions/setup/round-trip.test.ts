import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { SetupAnswers } from '../../../../daemon/actions/setup/answers.ts';
import { setupPreview } from '../../../../daemon/actions/setup/preview.ts';
import { bedsText, stationsText } from '../../../../daemon/actions/setup/table-entries.ts';
import { zoneOfHours } from '../../../../daemon/site/config/demo.ts';
import { loadConfigText } from '../../../../daemon/site/config/load.ts';

const PLACE = { file: 'site.yaml', baseFolder: '/srv/tern-flats' };
const HELP = { hash: async () => 'none', env: () => undefined };
const preview = (answers: SetupAnswers, before: string | null = null) =>
  setupPreview(answers, { ...PLACE, before, help: HELP });

const tenths = (least: number, most: number) =>
  fc.integer({ min: least * 10, max: most * 10 }).map((n) => n / 10);
/** Signs that YAML, tables and ids are touchy about. */
const nameArbitrary = fc
  .string({
    unit: fc.constantFrom(...'abcXYZ09 .:#-\'"&*!?{}[]|>%@é'),
    minLength: 1,
    maxLength: 20,
  })
  .map((text) => `T ${text}`.trim());

const siteArbitrary = fc.record({
  name: nameArbitrary,
  latitude: tenths(-89, 89),
  longitude: tenths(-179, 179),
  elevationM: fc.integer({ min: 0, max: 3000 }),
  pumpLPerMin: fc.integer({ min: 100, max: 5000 }),
  mains: fc.uniqueArray(fc.constantFrom('north', 'south', 'loop'), { maxLength: 3 }),
  beds: fc.array(
    fc.record({
      name: nameArbitrary,
      // Figures that can belong to one bed: others are refused.
      areaM2: tenths(50, 300),
      flowLPerMin: tenths(60, 90),
      rate: tenths(10, 40),
    }),
    { minLength: 1, maxLength: 6 },
  ),
});

function answersOf(
  site: typeof siteArbitrary extends fc.Arbitrary<infer T> ? T : never,
): SetupAnswers {
  return {
    site: {
      id: 'tern',
      name: site.name,
      position: `${site.latitude}, ${site.longitude}`,
      elevation: `${site.elevationM} m`,
      zone: zoneOfHours(Math.round(site.longitude / 15)),
    },
    units: 'metric',
    weather: {
      source: 'outlook',
      wind_height: '10 m',
      usual: [{ month: 7, high: '29 °C', low: '18 °C', wind: '3 m/s', rain: '0 mm' }],
    },
    supply: {
      pump_flow: `${site.pumpLPerMin} L/min`,
      mains: site.mains.map((id) => `${id} 900 L/min`).join('; '),
    },
    beds: site.beds.map((bed, n) => ({ id: `g${n}`, name: bed.name, area: `${bed.areaM2} m²` })),
    stations: site.beds.map((bed, n) => ({
      id: `s${n}`,
      bed: `g${n}`,
      ...(site.mains[0] === undefined ? {} : { main: site.mains[0] }),
      flow: `${bed.flowLPerMin} L/min`,
      rate: { stated: `${bed.rate} mm/h` },
    })),
  };
}

describe('answers', () => {
  it('come out of the written YAML as the site that they describe', async () => {
    await fc.assert(
      fc.asyncProperty(siteArbitrary, async (given) => {
        const { text, problems } = await preview(answersOf(given));
        expect(problems).toEqual([]);
        const read = loadConfigText(text, PLACE);
        expect(read.ok).toBe(true);
        if (!read.ok) return;
        const { site } = read.config;
        expect(site).toMatchObject({
          name: given.name,
          latitudeDeg: given.latitude,
          longitudeDeg: given.longitude,
          elevationM: given.elevationM,
        });
        expect(site.limits.pumpFlowLPerMin).toBeCloseTo(given.pumpLPerMin, 6);
        expect(site.limits.mains.map(({ id }) => id)).toEqual(given.mains);
        expect(site.beds.map(({ name, areaM2 }) => [name, areaM2])).toEqual(
          given.beds.map(({ name, areaM2 }) => [name, areaM2]),
        );
        expect(site.stations.map(({ precipitationRateMmPerH }) => precipitationRateMmPerH)).toEqual(
          given.beds.map(({ rate }) => rate),
        );
      }),
      { seed: 63, numRuns: 30 },
    );
  });

  it('given again change nothing, as entries or as the table that the page shows', async () => {
    await fc.assert(
      fc.asyncProperty(siteArbitrary, async (given) => {
        const answers = answersOf(given);
        const { text } = await preview(answers);
        expect((await preview(answers, text)).text).toBe(text);
        const plain = given.beds.every(({ name }) => !/["']/.test(name));
        fc.pre(plain);
        const tables = {
          beds: bedsText(answers.beds as unknown[]),
          stations: stationsText(answers.stations as unknown[]),
        };
        expect((await preview(tables, text)).text).toBe(text);
      }),
      { seed: 64, numRuns: 30 },
    );
  });

  it('take a key out where its cell was emptied, and take decimal commas', async () => {
    const { text } = await preview({
      ...answersOf({
        name: 'T',
        latitude: 33,
        longitude: -42,
        elevationM: 5,
        pumpLPerMin: 900,
        mains: ['loop'],
        beds: [{ name: 'G', areaM2: 400, flowLPerMin: 50, rate: 18 }],
      }),
      supply: { pump_flow: '900,5 L/min', mains: 'loop 450,5 L/min' },
    });
    expect(text).toContain('pump_flow: 900.5 L/min');
    const gone = await preview(
      { stations: 'id; bed; main; flow; rate\ns0; g0; ; 50 L/min; 18 mm/h' },
      text,
    );
    expect(gone.problems).toEqual([]);
    expect(gone.difference.filter((line) => /^[+-]/.test(line))).toEqual([
      '-   - { id: s0, bed: g0, main: loop, flow: 50 L/min, rate: { stated: 18 mm/h } }',
      '+   - { id: s0, bed: g0, flow: 50 L/min, rate: { stated: 18 mm/h } }',
    ]);
  });
});
