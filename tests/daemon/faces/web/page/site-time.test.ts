import { describe, expect, it } from 'vitest';
import { sayAge, siteTime } from '../../../../../daemon/faces/web/page/site-time.ts';
import { siteClock } from '../../../../../daemon/site/time/site-clock.ts';

const HOUR_MS = 3_600_000;
const at = (iso: string) => Date.parse(iso);

describe('the page’s clock', () => {
  it.each([
    ['America/Denver', '2026-03-08T00:00:00-07:00', 23, 'clocks go forward'],
    ['America/Denver', '2026-11-01T00:00:00-06:00', 25, 'clocks go back'],
    ['America/Denver', '2026-07-01T00:00:00-06:00', 24, 'a plain day'],
    // Lord Howe Island moves its clocks by half an hour: 02:00 becomes 02:30, or 01:30.
    ['Australia/Lord_Howe', '2026-10-04T00:00:00+10:30', 23, 'half an hour forward, 02:00 is lost'],
    [
      'Australia/Lord_Howe',
      '2026-04-05T00:00:00+11:00',
      24,
      'half an hour back, 01:30 comes twice',
    ],
    ['Asia/Kathmandu', '2026-07-01T00:00:00+05:45', 24, 'a quarter of an hour beside the others'],
  ])('finds the whole hours of a day in %s from %s: %i', (zone, from, hours) => {
    const time = siteTime(zone);
    const startMs = at(from);
    const next = time.nextAt('00:00', startMs + 12 * HOUR_MS);
    if (next === null) throw new Error('the day has no end');
    const ticks = time.hourTicks({ startMs, endMs: next - 1, stepH: 1 });
    expect(ticks).toHaveLength(hours);
    for (const tick of ticks) expect(time.timeOf(tick)).toMatch(/:00$/);
  });

  it.each(['America/Denver', 'Australia/Lord_Howe', 'Asia/Kathmandu', 'Etc/GMT+4'])(
    'reads as the daemon’s clock does in %s, over a year',
    (zone) => {
      const time = siteTime(zone);
      const clock = siteClock(zone);
      for (let hour = 0; hour < 366 * 24; hour += 7) {
        const instantMs = at('2026-01-01T00:20:00Z') + hour * HOUR_MS;
        expect(time.timeOf(instantMs)).toBe(clock.timeOf(instantMs));
        expect(time.fieldOf(instantMs).slice(0, 10)).toBe(clock.siteDayOf(instantMs));
      }
    },
  );

  it('finds the next time that reads so, and none that does not exist that day', () => {
    const time = siteTime('America/Denver');
    const beforeGap = at('2026-03-08T01:30:00-07:00');
    expect(time.nextAt('02:30', beforeGap)).toBe(at('2026-03-09T02:30:00-06:00'));
    const beforeFold = at('2026-11-01T00:30:00-06:00');
    expect(time.nextAt('01:30', beforeFold)).toBe(at('2026-11-01T01:30:00-06:00'));
    expect(time.nextAt('noon', beforeFold)).toBeNull();
  });

  it.each([
    [0, 'less than a minute'],
    [59_999, 'less than a minute'],
    [60_000, '1 min'],
    [3_599_000, '59 min'],
    [2 * HOUR_MS + 5 * 60_000, '2 h 05 min'],
    [-5, 'less than a minute'],
  ])('says an age of %i ms as %s', (ageMs, words) => {
    expect(sayAge(ageMs)).toBe(words);
  });
});
