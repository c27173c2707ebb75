import { describe, expect, it } from 'vitest';
import { type Absence, absenceBetween } from '../../../../daemon/delivery/absence.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';

const MIN_MS = 60_000;
const HOUR_MS = 60 * MIN_MS;
const START_MS = Date.parse('2026-07-01T10:00:00-07:00');

interface Row {
  name: string;
  /** How far either clock goes from one look to the next; steady null: another life. */
  wallMs: number;
  steadyMs: number | null;
  is: Absence['kind'] | null;
}

const ROWS: Row[] = [
  { name: 'a minute as ever', wallMs: MIN_MS, steadyMs: MIN_MS, is: null },
  { name: 'a minute a little late', wallMs: 85_000, steadyMs: 85_000, is: null },
  { name: 'two clocks that drift', wallMs: MIN_MS + 20_000, steadyMs: MIN_MS, is: null },
  { name: 'two looks in one instant', wallMs: 0, steadyMs: 0, is: null },
  { name: 'a power cut of a minute', wallMs: MIN_MS, steadyMs: null, is: null },
  { name: 'of two minutes', wallMs: 2 * MIN_MS, steadyMs: null, is: 'not_running' },
  { name: 'of an hour', wallMs: HOUR_MS, steadyMs: null, is: 'not_running' },
  { name: 'of a day', wallMs: 24 * HOUR_MS, steadyMs: null, is: 'not_running' },
  { name: 'a restart with a clock behind', wallMs: -HOUR_MS, steadyMs: null, is: 'set_back' },
  {
    name: 'set forward by an hour',
    wallMs: HOUR_MS + MIN_MS,
    steadyMs: MIN_MS,
    is: 'asleep_or_set_forward',
  },
  { name: 'set back by an hour', wallMs: MIN_MS - HOUR_MS, steadyMs: MIN_MS, is: 'set_back' },
  { name: 'set back by half a minute', wallMs: 30_000, steadyMs: MIN_MS, is: null },
  {
    name: 'asleep for three hours',
    wallMs: 3 * HOUR_MS,
    steadyMs: MIN_MS,
    is: 'asleep_or_set_forward',
  },
  { name: 'held up for ten minutes', wallMs: 10 * MIN_MS, steadyMs: 10 * MIN_MS, is: 'busy' },
];

describe('absenceBetween', () => {
  it.each(ROWS)('$name: $is', ({ wallMs, steadyMs, is }) => {
    const last = { wallMs: START_MS, steadyMs: steadyMs === null ? null : 5_000 };
    const now = { wallMs: START_MS + wallMs, steadyMs: 5_000 + (steadyMs ?? 77) };
    const absence = absenceBetween(last, now);
    expect(absence?.kind ?? null).toBe(is);
    if (absence !== null) expect(absence).toMatchObject({ fromMs: START_MS, toMs: now.wallMs });
  });

  it('is nothing at the very first start', () => {
    expect(absenceBetween(null, { wallMs: START_MS, steadyMs: 0 })).toBeNull();
  });

  it.each([
    ['spring', '2026-03-08', 23],
    ['autumn', '2026-11-01', 25],
  ])('is nothing over the clock change of %s', (_, day, hours) => {
    const clock = siteClock('America/Los_Angeles');
    const fromMs = clock.startOf(day as never);
    const toMs = clock.startOf(clock.addDays(day as never, 1));
    expect((toMs - fromMs) / HOUR_MS).toBe(hours);
    for (let ms = fromMs; ms < toMs; ms += MIN_MS) {
      const look = { wallMs: ms, steadyMs: ms - fromMs };
      const next = { wallMs: ms + MIN_MS, steadyMs: ms - fromMs + MIN_MS };
      expect(absenceBetween(look, next)).toBeNull();
    }
  });
});
