import { DateTime } from 'luxon';
import { describe, expect, it } from 'vitest';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';

const HOUR_MS = 3_600_000;
/** East and west, half and three quarter hours, changes at midnight, at 2 and by half an hour. */
const ZONES = [
  'Etc/UTC',
  'Etc/GMT+3',
  'Europe/London',
  'America/Los_Angeles',
  'America/St_Johns',
  'America/Santiago',
  'America/Havana',
  'Africa/Cairo',
  'Asia/Kolkata',
  'Asia/Kathmandu',
  'Asia/Beirut',
  'Australia/Lord_Howe',
  'Pacific/Apia',
  'Pacific/Chatham',
];

/** Instants of a year and a half, and every quarter hour of days on which some zone changes. */
const INSTANTS = [
  ...Array.from({ length: 800 }, (_, index) => Date.UTC(2025, 10, 1) + index * 16.37 * HOUR_MS),
  ...[Date.UTC(2026, 2, 7), Date.UTC(2026, 2, 28), Date.UTC(2026, 3, 4), Date.UTC(2026, 3, 23)]
    .concat([Date.UTC(2026, 8, 5), Date.UTC(2026, 9, 3), Date.UTC(2026, 9, 24)])
    .concat([Date.UTC(2026, 9, 31), Date.UTC(2011, 11, 29), Date.UTC(2011, 2, 13)])
    .flatMap((dayMs) =>
      Array.from({ length: 200 }, (_, quarter) => dayMs + quarter * 15 * 60_000 + 59_999),
    ),
].map(Math.round);

describe('the calendar of a site', () => {
  it.each(ZONES)('says of %s what the zone data say, over every change', (zone) => {
    const clock = siteClock(zone);
    const wrong = INSTANTS.flatMap((instantMs) => {
      const at = DateTime.fromMillis(instantMs, { zone });
      const { year, month, day, hour, minute } = at;
      const expected = {
        iso: at.startOf('second').toISO({ suppressMilliseconds: true }),
        time: at.toFormat('HH:mm'),
        day: at.toISODate(),
        local: { year, month, day, hour, minute },
      };
      const got = {
        iso: clock.isoOf(instantMs),
        time: clock.timeOf(instantMs),
        day: clock.siteDayOf(instantMs),
        local: clock.localOf(instantMs),
      };
      return JSON.stringify(got) === JSON.stringify(expected) ? [] : [{ expected, got }];
    });
    expect(wrong).toEqual([]);
  });
});
