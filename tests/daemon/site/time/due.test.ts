import { describe, expect, it } from 'vitest';
import type { SiteDay } from '../../../../adapters/site-clock.ts';
import { morningOf, owedMorning } from '../../../../daemon/site/config/morning.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';

const MIN_MS = 60_000;

/** Places chosen for their clocks: west, east, half hours, and zones that skip a midnight. */
const PLACES = [
  { zone: 'America/Los_Angeles', latitudeDeg: 36, longitudeDeg: -120 },
  { zone: 'Pacific/Auckland', latitudeDeg: -37, longitudeDeg: 175 },
  { zone: 'Asia/Kolkata', latitudeDeg: 20, longitudeDeg: 78 },
  { zone: 'Australia/Lord_Howe', latitudeDeg: -31.5, longitudeDeg: 159 },
  // Clocks jump from 00:00 to 01:00 at the start of summer time: that midnight does not exist.
  { zone: 'Africa/Cairo', latitudeDeg: 30, longitudeDeg: 31 },
  { zone: 'America/Santiago', latitudeDeg: -33, longitudeDeg: -71 },
  { zone: 'Europe/London', latitudeDeg: 52, longitudeDeg: 0 },
];
const MORNINGS = [
  { kind: 'sunrise', offsetMin: -60 },
  { kind: 'clock', hour: 4, minute: 30 },
  { kind: 'clock', hour: 0, minute: 30 },
  { kind: 'clock', hour: 2, minute: 30 },
] as const;

/** Each place by the sun and by one of the clock times. */
const CASES = PLACES.flatMap((place, index) =>
  [MORNINGS[0], MORNINGS[1 + (index % 3)] ?? MORNINGS[1]].map((morning) => ({ ...place, morning })),
);

describe('owedMorning over a year of site days', () => {
  it.each(CASES)('$zone, $morning.kind $morning.hour: one plan for each site day', (place) => {
    const clock = siteClock(place.zone);
    const rule = { ...place, clock };
    const startMs = Date.UTC(2026, 0, 1);
    const endMs = Date.UTC(2027, 0, 1);
    const made: SiteDay[] = [];
    const known = new Set<SiteDay>();
    for (let nowMs = startMs; nowMs < endMs; nowMs += 173 * MIN_MS) {
      const day = owedMorning(nowMs, rule, (one) => known.has(one));
      if (day === null) continue;
      known.add(day);
      expect(clock.siteDayOf(nowMs)).toBe(day);
      expect(nowMs - morningOf(day, rule)).toBeGreaterThanOrEqual(0);
      made.push(day);
    }
    const days: SiteDay[] = [];
    for (
      let day = made[0] as SiteDay;
      clock.startOf(day) < endMs && days.length < 400;
      day = clock.addDays(day, 1)
    ) {
      days.push(day);
    }
    expect(new Set(made).size).toBe(made.length);
    // The last site day may begin before the year's end and have its morning after it.
    expect(days.slice(0, made.length)).toEqual(made);
    expect(made.length).toBeGreaterThanOrEqual(364);
  });

  it('a nudge that comes late makes the plan once, and a day without a nudge is not made up', () => {
    const place = PLACES[0] as (typeof PLACES)[number];
    const rule = { ...place, clock: siteClock(place.zone), morning: MORNINGS[1] };
    const made: SiteDay[] = [];
    const nudges = [
      '2026-06-01T11:29Z',
      '2026-06-01T23:00Z',
      '2026-06-01T23:01Z',
      '2026-06-04T20:00Z',
    ];
    for (const nudge of nudges) {
      const day = owedMorning(Date.parse(nudge), rule, (one) => made.includes(one));
      if (day !== null) made.push(day);
    }
    expect(made).toEqual(['2026-06-01', '2026-06-04']);
  });

  it('a clock stepped back owes nothing twice', () => {
    const place = PLACES[0] as (typeof PLACES)[number];
    const rule = { ...place, clock: siteClock(place.zone), morning: MORNINGS[1] };
    const made = new Set<string>(['2026-06-01']);
    expect(owedMorning(Date.parse('2026-06-01T12:00Z'), rule, (one) => made.has(one))).toBeNull();
    expect(owedMorning(Date.parse('2026-06-01T11:45Z'), rule, (one) => made.has(one))).toBeNull();
  });
});

describe('morningOf', () => {
  it('takes the earlier instant of an hour that comes twice', () => {
    const place = PLACES[0] as (typeof PLACES)[number];
    const rule = {
      ...place,
      clock: siteClock(place.zone),
      morning: { kind: 'clock', hour: 1, minute: 30 } as const,
    };
    // Summer time ends on 2026-11-01 at 02:00 (09:00 UTC): 01:30 is first 08:30 UTC.
    expect(new Date(morningOf('2026-11-01' as SiteDay, rule)).toISOString()).toBe(
      '2026-11-01T08:30:00.000Z',
    );
  });

  it('moves a time inside the spring gap to the first minute after it', () => {
    const place = PLACES[0] as (typeof PLACES)[number];
    const rule = { ...place, clock: siteClock(place.zone), morning: MORNINGS[3] };
    // 02:30 on 2026-03-08 does not exist; the gap ends at 03:00 summer time, 10:00 UTC.
    expect(new Date(morningOf('2026-03-08' as SiteDay, rule)).toISOString()).toBe(
      '2026-03-08T10:00:00.000Z',
    );
  });

  it('goes by the clock where the sun does not rise', () => {
    const rule = {
      zone: 'Arctic/Longyearbyen',
      clock: siteClock('Arctic/Longyearbyen'),
      latitudeDeg: 78,
      longitudeDeg: 15,
      morning: MORNINGS[0],
    };
    const morningMs = morningOf('2026-12-21' as SiteDay, rule);
    expect(rule.clock.timeOf(morningMs)).toBe('04:30');
  });

  it('is by the clock where that is asked for', () => {
    const place = PLACES[2] as (typeof PLACES)[number];
    const rule = { ...place, clock: siteClock(place.zone), morning: MORNINGS[1] };
    const nowMs = Date.parse('2026-06-01T00:00:00+05:30');
    expect(morningOf(rule.clock.siteDayOf(nowMs), rule)).toBe(
      Date.parse('2026-06-01T04:30:00+05:30'),
    );
  });
});
