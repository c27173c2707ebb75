import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  canonicalJson,
  type Json,
  planDigest,
  planDocument,
  shortDigest,
  wireKey,
} from '../../adapters/plan-document.ts';
import { siteClock } from '../../daemon/site/time/site-clock.ts';
import { EXAMPLE_ZONE, examplePlan } from '../example-plan.ts';

const clock = siteClock(EXAMPLE_ZONE);

describe('planDocument', () => {
  const document = planDocument(examplePlan(), clock);

  it('names its format, zone and end', () => {
    expect(document).toMatchObject({
      format: 'dewbeat-plan',
      format_version: 1,
      zone: 'America/Los_Angeles',
      site_id: 'example-site',
      site_day: '2026-07-01',
      revision: 2,
      made_at: '2026-07-01T05:00:00-07:00',
      valid_until: '2026-07-02T00:00:00-07:00',
    });
  });

  it('writes runs with snake_case keys, units and local instants', () => {
    const { runs } = document;
    expect((runs as Json[])[0]).toEqual({
      bed_id: 'bed-1',
      station_id: 's-1a',
      start: '2026-07-01T06:15:00-07:00',
      run_s: 240,
      rotations: 2,
      gross_mm: 1.05,
      net_mm: 1,
      cycle: 1,
    });
  });

  it('holds every leaf of the plan, so that the digest covers all of it', () => {
    const added = ['format', 'format_version', 'zone'];
    expect(leaves(document)).toBe(leaves(examplePlan()) + added.length);
  });

  it('is plain JSON with snake_case keys', () => {
    expect(JSON.parse(JSON.stringify(document))).toEqual(document);
    for (const key of keysOf(document)) expect(key).toMatch(/^[a-z][a-z0-9]*(_[a-z0-9]+)*$/);
  });

  it('refuses numbers that are none, with their place', () => {
    const plan = examplePlan();
    plan.weather.highC = Number.NaN;
    expect(() => planDocument(plan, clock)).toThrow(
      new RangeError('plan.weather.highC: must be a finite number (got NaN); make the plan again'),
    );
  });

  it('writes no negative zero', () => {
    const plan = examplePlan();
    plan.weather.rainMm = -0.000_01;
    const { weather } = planDocument(plan, clock);
    const { rain_mm: rain } = weather as { rain_mm: number };
    expect(Object.is(rain, 0)).toBe(true);
  });
});

describe('wireKey', () => {
  it.each([
    ['grossMm', 'gross_mm'],
    ['dryAtMs', 'dry_at'],
    ['startMs', 'start'],
    ['windMaxMPerS', 'wind_max_m_per_s'],
    ['flowLPerMin', 'flow_l_per_min'],
    ['vapourPressureKPa', 'vapour_pressure_kpa'],
    ['percentOfLoss', 'percent_of_loss'],
  ])('%s is %s', (key, wire) => {
    expect(wireKey(key)).toBe(wire);
  });
});

describe('canonicalJson', () => {
  // RFC 8785 (2020), sections 3.2.2 and 3.2.3: worked example and canonical form, from memory.
  it('gives the bytes of the example in RFC 8785', () => {
    const input = JSON.parse(String.raw`{
      "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
      "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
      "literals": [null, true, false]
    }`);
    expect(canonicalJson(input)).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],' +
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
  });
});

describe('planDigest', () => {
  const digest = planDigest(planDocument(examplePlan(), clock));

  it('is SHA-256 over the canonical bytes', () => {
    const bytes = canonicalJson(planDocument(examplePlan(), clock));
    expect(digest).toBe(createHash('sha256').update(bytes).digest('hex'));
    expect(shortDigest('0123456789ab')).toBe('0123 4567');
  });

  it('stays the same when the document goes through JSON and its keys change places', () => {
    const document = planDocument(examplePlan(), clock);
    const shuffled = Object.fromEntries(Object.entries(document).reverse());
    expect(planDigest(JSON.parse(JSON.stringify(shuffled)))).toBe(digest);
  });

  it('stays the same under the noise of sums, and differs for what a person could see', () => {
    fc.assert(
      fc.property(fc.double({ min: -4e-4, max: 4e-4, noNaN: true }), (noiseMm) => {
        const plan = examplePlan();
        plan.weather.referenceEtMm += noiseMm;
        expect(planDigest(planDocument(plan, clock))).toBe(digest);
      }),
      { seed: 8785, numRuns: 100 },
    );
    const other = examplePlan();
    other.weather.referenceEtMm += 0.001;
    expect(planDigest(planDocument(other, clock))).not.toBe(digest);
  });

  it.each([
    ['revision', examplePlan({ revision: 3 })],
    ['site day', examplePlan({ siteDay: '2026-07-02' })],
    ['warnings', examplePlan({ warnings: [] })],
    ['end', examplePlan({ endMs: examplePlan().endMs + 1000 })],
    ['one run', examplePlan({ runs: examplePlan().runs.slice(1) })],
  ])('differs with another %s', (_what, plan) => {
    expect(planDigest(planDocument(plan, clock))).not.toBe(digest);
  });

  it('differs with another zone at the same offset', () => {
    const elsewhere = siteClock('America/Phoenix');
    expect(planDigest(planDocument(examplePlan(), elsewhere))).not.toBe(digest);
  });
});

function leaves(value: unknown): number {
  if (typeof value !== 'object' || value === null) return 1;
  return Object.values(value).reduce((sum: number, item) => sum + leaves(item), 0);
}

function keysOf(value: Json): string[] {
  if (Array.isArray(value)) return value.flatMap(keysOf);
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, item]) => [key, ...keysOf(item)]);
}
