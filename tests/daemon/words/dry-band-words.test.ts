import { describe, expect, it } from 'vitest';
import type { DryBand } from '../../../calc/schedule/bed-moisture.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { sayDry, shortBand, type ToldDry, withBand } from '../../../daemon/words/dry-band-words.ts';

const clock = siteClock('Etc/GMT+7');
const NOW_MS = Date.parse('2026-07-01T05:00:00-07:00');
const at = (time: string, day = 1) => Date.parse(`2026-07-0${day}T${time}:00-07:00`);
const bed = (dryAtMs: number | null, band?: DryBand): ToldDry =>
  band === undefined ? { dryAtMs } : { dryAtMs, dryBandMs: band };
const en = { language: 'en', clock } as const;
const es = { language: 'es', clock } as const;

/** Dry at 11:40, nine times in ten between 10:50 and 12:55. */
const BANDED = bed(at('11:40'), { earliestMs: at('10:50'), latestMs: at('12:55') });
const OPEN = bed(at('11:40'), { earliestMs: at('10:50'), latestMs: null });

describe('a time to dry with its band', () => {
  it('is told in a sentence, in either language', () => {
    expect(sayDry(BANDED, NOW_MS, en)).toBe(
      'Dry at about 11:40 without water, between 10:50 and 12:55 nine times in ten.',
    );
    expect(sayDry(BANDED, NOW_MS, es)).toBe(
      'Seca a eso de las 11:40 sin agua, entre 10:50 y 12:55 nueve veces de diez.',
    );
  });

  it('is told in brackets in a table', () => {
    expect(withBand('11:40', BANDED, NOW_MS, en)).toBe('11:40 (10:50 to 12:55)');
    expect(withBand('11:40', BANDED, NOW_MS, es)).toBe('11:40 (10:50 a 12:55)');
  });

  it('says plainly where it is open', () => {
    expect(withBand('11:40', OPEN, NOW_MS, en)).toBe('11:40 (10:50 or later)');
    expect(sayDry(OPEN, NOW_MS, en)).toBe(
      'Dry at about 11:40 without water, nine times in ten at 10:50 or later.',
    );
    const late = bed(null, { earliestMs: at('19:10'), latestMs: null });
    expect(sayDry(late, NOW_MS, en)).toBe(
      'Not dry before tomorrow without water, nine times in ten at 19:10 or later.',
    );
    expect(shortBand(bed(null, { earliestMs: null, latestMs: null }), NOW_MS, en)).toBeNull();
  });

  it('names the day where it is another, and now where it has begun', () => {
    const night = { earliestMs: at('21:30'), latestMs: at('07:15', 2) };
    expect(shortBand(bed(at('06:05', 2), night), NOW_MS, en)).toBe('21:30 to 07:15 tomorrow');
    const begun = { earliestMs: NOW_MS - 60_000, latestMs: at('06:10') };
    expect(shortBand(bed(at('05:30'), begun), NOW_MS, en)).toBe('now to 06:10');
  });

  it('has none in plans of before, in a bed that is dry, and where both ends are one minute', () => {
    expect(shortBand(bed(at('11:40')), NOW_MS, en)).toBeNull();
    expect(sayDry(bed(at('11:40')), NOW_MS, en)).toBe('Dry at about 11:40 without water.');
    expect(sayDry(bed(null), NOW_MS, en)).toBe('Not dry before tomorrow without water.');
    const dry = bed(NOW_MS, { earliestMs: NOW_MS, latestMs: at('05:20') });
    expect(shortBand(dry, NOW_MS, en)).toBeNull();
    expect(sayDry(dry, NOW_MS, en)).toBe('Dry now.');
    const known = bed(at('11:40'), { earliestMs: at('11:40'), latestMs: at('11:40') });
    expect(withBand('11:40', known, NOW_MS, en)).toBe('11:40');
  });
});
