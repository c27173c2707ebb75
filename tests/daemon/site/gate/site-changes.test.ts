import { describe, expect, it } from 'vitest';
import { type SiteInUse, siteChanges } from '../../../../daemon/site/gate/site-changes.ts';
import { sayChanges } from '../../../../daemon/words/confirm-words.ts';
import { EXAMPLE_SITE, examplePlan } from '../../../example-plan.ts';
import { inventedReader } from '../../../reader.ts';

const plan = examplePlan();
const reader = inventedReader();

/** The site with one station of another make. */
function withStation(stationId: string, change: Partial<SiteInUse['stations'][number]>): SiteInUse {
  const stations = EXAMPLE_SITE.stations.map((one) =>
    one.stationId === stationId ? { ...one, ...change } : one,
  );
  return { ...EXAMPLE_SITE, stations };
}

describe('siteChanges', () => {
  it.each<[string, SiteInUse, 'all' | string[], string]>([
    [
      'a rate four times as high',
      withStation('s-3b', { precipitationRateMmPerH: 72 }),
      ['bed-3'],
      'station s-3b now has 72.0 mm/h, it had 18.0 mm/h',
    ],
    [
      'a rate that is hardly another',
      withStation('s-3b', { precipitationRateMmPerH: 18.01 }),
      ['bed-3'],
      'station s-3b now has 18.0 mm/h, slightly other than before',
    ],
    [
      'a rotation',
      withStation('s-2a', { rotationS: 90 }),
      ['bed-2'],
      'station s-2a now has a rotation of 90 s, it had a rotation of 120 s',
    ],
    [
      'a flow and a rate',
      withStation('s-2a', { flowLPerMin: 50, precipitationRateMmPerH: 9 }),
      ['bed-2'],
      'station s-2a now has 9.0 mm/h, it had 18.0 mm/h and now has 50 L/min, it had 100 L/min',
    ],
    [
      'a figure that is no number',
      withStation('s-2a', { flowLPerMin: Number.NaN }),
      ['bed-2'],
      'station s-2a now has NaN L/min, it had 100 L/min',
    ],
    [
      'a station at another bed',
      withStation('s-1b', { bedId: 'bed-2' }),
      ['bed-1', 'bed-2'],
      'station s-1b now waters bed-2, it watered bed-1',
    ],
    [
      'a station gone',
      {
        ...EXAMPLE_SITE,
        stations: EXAMPLE_SITE.stations.filter(({ stationId }) => stationId !== 's-1b'),
      },
      ['bed-1'],
      'station s-1b is gone',
    ],
    ['a bed gone', { ...EXAMPLE_SITE, bedIds: ['bed-1', 'bed-2'] }, ['bed-3'], 'bed bed-3 is gone'],
    [
      'another zone',
      { ...EXAMPLE_SITE, zone: 'Europe/Rome' },
      'all',
      'the zone is now Europe/Rome, it was America/Los_Angeles',
    ],
    [
      'another site',
      { ...EXAMPLE_SITE, siteId: 'elsewhere' },
      'all',
      'the site is now elsewhere, the plan is for example-site',
    ],
    ['a new bed', { ...EXAMPLE_SITE, bedIds: [...EXAMPLE_SITE.bedIds, 'b'] }, [], 'bed b is new'],
    [
      'a new station',
      {
        ...EXAMPLE_SITE,
        stations: [
          ...EXAMPLE_SITE.stations,
          {
            stationId: 's-9',
            bedId: 'bed-1',
            precipitationRateMmPerH: 18,
            rotationS: 120,
            flowLPerMin: 100,
          },
        ],
      },
      [],
      'station s-9 is new',
    ],
  ])('%s', (_, now, bedIds, text) => {
    const changes = siteChanges(plan, now);
    expect(changes.map((change) => change.bedIds)).toEqual([bedIds]);
    expect(sayChanges(changes, reader)).toBe(text);
  });

  it('are told in the units of whoever reads them', () => {
    const changes = siteChanges(plan, withStation('s-3b', { precipitationRateMmPerH: 25.4 }));
    expect(sayChanges(changes, inventedReader('us'))).toBe(
      'station s-3b now has 1.00 in/h, it had 0.71 in/h',
    );
  });

  it('finds none in the site that it was made for, nor in the last bits of another unit', () => {
    expect(siteChanges(plan, EXAMPLE_SITE)).toEqual([]);
    const lastBits = withStation('s-1a', { precipitationRateMmPerH: 18 * (1 + 1e-12) });
    expect(siteChanges(plan, lastBits)).toEqual([]);
  });

  it('says both stations of a swap', () => {
    const swapped = {
      ...EXAMPLE_SITE,
      stations: EXAMPLE_SITE.stations.map(
        (one) =>
          ({ 's-1a': { ...one, bedId: 'bed-3' }, 's-3a': { ...one, bedId: 'bed-1' } })[
            one.stationId
          ] ?? one,
      ),
    };
    expect(siteChanges(plan, swapped).map(({ bedIds }) => bedIds)).toEqual([
      ['bed-1', 'bed-3'],
      ['bed-3', 'bed-1'],
    ]);
  });

  it('takes a plan of before that does not say for what site it is as changed in everything', () => {
    const { madeFor: _, ...older } = plan;
    expect(siteChanges(older, EXAMPLE_SITE)).toEqual([
      { bedIds: 'all', what: { code: 'not_told' } },
    ]);
  });

  it('takes a millionth of a figure for the same, and nothing for the same as nothing', () => {
    const was = { stationId: 's', bedId: 'b', rotationS: 120, flowLPerMin: 0 };
    const changed = (fromMmPerH: number, toMmPerH: number) => {
      const station = (precipitationRateMmPerH: number) => ({ ...was, precipitationRateMmPerH });
      const madeFor = { zone: EXAMPLE_SITE.zone, bedIds: ['b'], stations: [station(fromMmPerH)] };
      const now = { ...EXAMPLE_SITE, bedIds: ['b'], stations: [station(toMmPerH)] };
      return siteChanges({ siteId: plan.siteId, madeFor }, now).length > 0;
    };
    expect(changed(18, 18)).toBe(false);
    expect(changed(18, 18 * (1 + 9e-7))).toBe(false);
    expect(changed(18, 18 * (1 - 9e-7))).toBe(false);
    expect(changed(18, 18 * (1 + 2e-6))).toBe(true);
    expect(changed(0.01, 0.01 * (1 + 9e-7))).toBe(false);
    expect(changed(0.01, 0.01 * (1 + 2e-6))).toBe(true);
    expect(changed(0, 0)).toBe(false);
    expect(changed(0, 1)).toBe(true);
  });

  it('says four, and how many more there are', () => {
    const changes = ['a', 'b', 'c', 'd', 'e', 'f'].map((bed) => ({
      bedIds: [],
      what: { code: 'bed_new', bed },
    }));
    const four = 'bed a is new, bed b is new, bed c is new, bed d is new';
    expect(sayChanges([], reader)).toBe('');
    expect(sayChanges(changes.slice(0, 4), reader)).toBe(four);
    expect(sayChanges(changes.slice(0, 5), reader)).toBe(`${four}, and 1 more`);
    expect(sayChanges(changes, reader)).toBe(`${four}, and 2 more`);
  });

  it('says the first few of many', () => {
    const quarter = {
      ...EXAMPLE_SITE,
      stations: EXAMPLE_SITE.stations.map((one) => ({ ...one, precipitationRateMmPerH: 72 })),
    };
    const said = sayChanges(siteChanges(plan, quarter), reader);
    expect(said).toMatch(/^station s-1a now .*, station s-3a now .*, and 1 more$/);
  });
});
