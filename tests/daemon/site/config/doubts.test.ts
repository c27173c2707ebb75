import { describe, expect, it } from 'vitest';
import { problemText } from '../../../../daemon/site/config/problems.ts';
import { rateDoubt } from '../../../../daemon/site/config/rate-fit.ts';
import { configText, loadSound, problemsOf } from './sound-config.ts';

const NO_DAY = / has no day of seeding/;
const warningsOf = (text: string) =>
  loadSound(text)
    .warnings.map(problemText)
    .filter((line) => !NO_DAY.test(line));
/** Both beds on a stated sand, so that nothing else is asked about. */
const SANDS = ['sands: { medium_over_gravel: { capacity: 0.8 mm } }'];
const station = (rate: string, flow = '450 L/min', area = '1500 m²') =>
  configText(
    {
      6: `  - { id: g2, area: ${area} }`,
      9: `  - { id: s2, bed: g2, flow: ${flow}, rate: { stated: ${rate} } }`,
    },
    SANDS,
  );

describe('a rate that cannot be meant', () => {
  it('is refused with the flow over the area beside it, and the unit that would fit', () => {
    expect(problemsOf(station('0.71 mm/h'))).toEqual([
      'site.yaml:9:57 stations[s2].rate.stated: is no rate of turf heads, which have 2 to 150 mm/h (got 0.71 mm/h, 25.4 times less than 450 L/min over 1500 m² give, 18 mm/h); write 0.71 in/h if that is meant, or correct the rate, or flow and area',
    ]);
    expect(problemsOf(station('18 in/h'))).toEqual([
      expect.stringContaining(
        '457 mm/h, 25.4 times more than 450 L/min over 1500 m² give, 18 mm/h); write 18 mm/h',
      ),
    ]);
  });

  it('is refused where heads have it, and the flow can never give it', () => {
    // 45 L/min over 1500 m² are 1.8 mm/h; one station alone has no smaller share.
    expect(problemsOf(station('18 mm/h', '45 L/min'))).toEqual([
      expect.stringContaining(
        'does not fit flow and area (got 18 mm/h, 10 times more than 45 L/min over 1500 m² give, 1.8 mm/h); write flow 45 m³/h or area 1500 ft² if that is meant',
      ),
    ]);
  });

  it('says nothing of a flow that is refused by the area alone', () => {
    expect(problemsOf(station('18 mm/h', '450 L/min', '9 m²'))).toEqual([
      'site.yaml:6:21 beds[g2].area: is no area of one bed (got 9 m²); correct it, or part the bed',
    ]);
  });

  it('is asked about between what fits and what is refused', () => {
    expect(warningsOf(station('0.72 in/h', '200 L/min', '1500 m²'))).toEqual([
      'site.yaml:9:57 stations[s2].rate.stated: does not fit flow and area (got 0.72 in/h, 18.3 mm/h, 2.29 times more than 200 L/min over 1500 m² give, 8 mm/h); write flow 200 gpm if that is meant, or correct the rate, or flow and area',
    ]);
  });

  // Four full circles of 27.4 gpm on 65 ft triangles, 340 m² each, around beds of any size.
  it.each([
    ['a green', 465, 1, 415],
    ['a green, a head a station', 465, 4, 103.7],
    ['a large green', 1200, 1, 415],
  ])('fits %s, though most of the water falls beside', (_, areaM2, stations, flowLPerMin) => {
    const written = { rate: null, flow: null, area: null };
    expect(rateDoubt({ rateMmPerH: 18.3, flowLPerMin, bed: { areaM2, stations }, written })).toBe(
      null,
    );
  });

  it.each([
    [200, null],
    [103.6, false],
    [34, true],
  ])('of four heads over %d m² is refused: %s', (areaM2, isRefused) => {
    const written = { rate: null, flow: null, area: null };
    const asked = { rateMmPerH: 60 / 4, flowLPerMin: 103.7, bed: { areaM2, stations: 1 }, written };
    expect(rateDoubt(asked)?.isRefused ?? null).toBe(isRefused);
  });

  it('far from the other stations is told', () => {
    const text = configText(
      { 9: '  - { id: s2, bed: g2, flow: 200 L/min, rate: { stated: 18 mm/h } }' },
      [
        '  - { id: s3, bed: g2, flow: 200 L/min, rate: { stated: 110 mm/h } }',
        '  - { id: s4, bed: g2, flow: 200 L/min, rate: { stated: 17 mm/h } }',
        ...SANDS,
      ],
    );
    expect(warningsOf(text)).toContain(
      'site.yaml:10:47 stations[s3].rate: lies far above the other stations (got 110.0 mm/h, 6 times above the middle one, 18.3 mm/h); check the rate and its unit',
    );
  });
});

describe('an area that cannot be meant', () => {
  const area = (text: string) => configText({ 6: `  - { id: g2, area: ${text} }` }, SANDS);

  it.each([
    ['5 m²', '(got 5 m²); correct it, or part the bed'],
    [
      '30000 m²',
      '(got 30000 m²); write 30000 ft² if that is meant, or correct it, or part the bed',
    ],
    [
      '60 ha',
      '(got 60 ha, 600000 m²); write 60 m² if that is meant, or correct it, or part the bed',
    ],
  ])('%s is refused', (text, rest) => {
    expect(problemsOf(area(text))).toContain(
      `site.yaml:6:21 beds[g2].area: is no area of one bed ${rest}`,
    );
  });

  it('is asked about where a field has it and hardly a green', () => {
    expect(warningsOf(station('18 mm/h', '900 L/min', '5000 m²')).slice(0, 1)).toEqual([
      'site.yaml:6:21 beds[g2].area: is an unusual area of one bed (got 5000 m²); write 5000 ft² if that is meant, or look at the number and its unit',
    ]);
    expect(warningsOf(area('200 m²'))).toEqual([]);
  });
});

describe('a depth of sand that cannot be meant', () => {
  const depth = (text: string) =>
    configText(
      {
        5: '  - { id: g1, area: 5000 ft², sand: own }',
        6: '  - { id: g2, area: 400 m², sand: own }',
      },
      [
        `sands: { own: { lab: { total_porosity: 40 %, capillary_porosity: 19 %, saturated_conductivity: 300 mm/h, depth: ${text} } } }`,
      ],
    );

  it.each([
    ['12 mm', 'is too small (got 12 mm); use 0.15 m or more, or 12 in if meant'],
    ['30 m', 'is too large (got 30 m); use 1 m or less, or 30 cm or 30 in if meant'],
    ['300 in', 'is too large (got 300 in); use 1 m or less, or 300 mm if meant'],
  ])('%s is refused', (text, message) => {
    expect(problemsOf(depth(text))).toEqual([
      expect.stringMatching(/^site\.yaml:10:\d+ sands\.own\.lab\.depth: /),
    ]);
    expect(problemsOf(depth(text))[0]).toContain(message);
  });

  it('is asked about once where no green has it', () => {
    expect(warningsOf(depth('300 mm'))).toEqual([]);
    expect(warningsOf(depth('30 in'))).toEqual([
      'site.yaml:5:37 beds[g1].sand: names a sand of unusual depth (got own, 762 mm); check depth and unit of its lab report',
    ]);
  });
});

describe('a bed without a day of seeding', () => {
  it('is told with what to write, once for all', () => {
    const told = (text: string) => loadSound(text).warnings.map(problemText);
    expect(told(configText({}, SANDS))).toEqual([
      'site.yaml:5:11 beds[g1].id: has no day of seeding, so no water is planned (got 2 of 2 beds without); write seeded: and the day, or water_before_seeding: true',
    ]);
    const others = {
      5: '  - { id: g1, area: 5000 ft², seeded: 2026-07-01 }',
      6: '  - { id: g2, area: 400 m², water_before_seeding: true }',
    };
    expect(told(configText(others, SANDS))).toEqual([]);
    expect(loadSound(configText(others)).site.beds[1]?.waterBeforeSeeding).toBe(true);
    const grown = { ...others, 6: '  - { id: g2, area: 400 m², stage: emergence }' };
    expect(told(configText(grown, SANDS))).toEqual([]);
  });
});

describe('a pump that may hardly rise', () => {
  it('is told with what it does to the start of a bed', () => {
    const text = configText(
      {
        3: 'supply: { pump_flow: 900 L/min, pump_ramp: 390 L/min, mains: [{ id: m1, flow: 600 L/min }] }',
      },
      [
        '  - { id: s3, bed: g2, flow: 200 L/min, rate: { stated: 18 mm/h } }',
        '  - { id: s4, bed: g2, flow: 200 L/min, rate: { stated: 18 mm/h } }',
        ...SANDS,
      ],
    );
    expect(warningsOf(text)).toEqual([
      'site.yaml:3:44 supply.pump_ramp: lets one station open in a minute (got 390 L/min, less than two of them): the last of the 3 stations of g2 starts 2 min after the first; check the figure and its unit',
    ]);
    expect(warningsOf(text.replace('390 L/min', '400 L/min'))).toEqual([]);
    expect(warningsOf(text.replace('pump_ramp', 'station_order: in_turn, pump_ramp'))).toEqual([]);
  });
});
