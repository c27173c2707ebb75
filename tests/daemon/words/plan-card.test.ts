import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EN } from '../../../daemon/words/en.ts';
import {
  CARD_WIDTH,
  columns,
  emptyCard,
  fold,
  type PlanCard,
  planCard,
} from '../../../daemon/words/plan-card.ts';
import { bedRows } from '../../../daemon/words/plan-rows.ts';
import { readerOf } from '../../../daemon/words/plan-words.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';

const clock = siteClock(EXAMPLE_ZONE);
const plan = examplePlan();
const metric = readerOf({ clock, units: 'metric' });
const us = readerOf({ clock, units: 'us' });
const CAUTIONS = Object.entries(EN).filter(([key]) => key.startsWith('caution.'));
const byTime = (from: DayPlan) => from.runs.toSorted((a, b) => a.startMs - b.startMs);
const card = (change: Partial<PlanCard> = {}) =>
  planCard({
    plan,
    digest: 'abcdef0123456789',
    state: { kind: 'held' },
    runs: byTime(plan),
    reader: metric,
    zone: clock.zone,
    ...change,
  });

describe('planCard', () => {
  it('heads with site, day, revision, digest, state and sun', () => {
    const head = card().split('\n').slice(0, 8).join('\n');
    expect(head).toContain('Example Site (invented)');
    expect(head).toContain('Wednesday 2026-07-01');
    expect(head).toContain('plan 2   digest abcd ef01');
    expect(head).toContain('HELD: not confirmed. Nothing on this card starts by itself.');
    expect(head).toContain('Sunrise 05:48   Sunset 20:09');
  });

  it('says who confirmed and which beds are on hold', () => {
    const state = { kind: 'confirmed', who: 'A. Tester', atMs: EXAMPLE_MADE_AT_MS } as const;
    expect(card({ state: { ...state, heldBedIds: [] } })).toContain(
      'CONFIRMED by A. Tester at 05:00.\n',
    );
    const partly = card({ state: { ...state, heldBedIds: ['bed-2'] } });
    expect(partly).toContain('Water stopped: Bed Two (invented).');
    expect(partly).not.toContain('HELD: not confirmed');
  });

  it('tells each notice with its rule and what the rule saw', () => {
    const text = card();
    expect(text).toContain(
      'WEATHER AND WATER\n* note: Wind, 11:00 to 14:00, all beds. The wind hurts',
    );
    expect(text).toContain(
      '\n  Rule: Pattern badly hurt above 4.0 m/s, sharply above 6.0 m/s (irrigation\n    research).\n  Saw: strongest 5.5 m/s, hurt 4.0 m/s, sharply hurt 6.0 m/s, windy hours 3\n',
    );
    expect(card({ plan: examplePlan({ notices: [] }) })).not.toContain('WEATHER AND WATER');
  });

  it('lists cycles in order of time, stations that run alike on one line', () => {
    const rows = card().match(/^\d\d:\d\d {2}.*\[_\]$/gm) ?? [];
    expect(rows.map((row) => row.slice(0, 5))).toEqual([
      '06:15',
      '06:30',
      '06:45',
      '09:45',
      '10:00',
      '10:15',
      '12:00',
    ]);
    expect(rows[0]).toBe(
      '06:15  Bed One (invented)      s-1a s-1b             4.0    2   1.00 mm  [_]',
    );
  });

  it('gives stations of one cycle that run in turn a line each', () => {
    const runs = byTime(plan).map((run) =>
      run.stationId === 's-1b' ? { ...run, startMs: run.startMs + 4 * 60_000 } : run,
    );
    expect(card({ runs })).toMatch(/^06:15 {2}Bed One \(invented\) {6}s-1a {2}/m);
    expect(card({ runs })).toMatch(/^06:19 {2}Bed One \(invented\) {6}s-1b {2}/m);
  });

  it('counts only what stands, and lists what was missed', () => {
    const runs = byTime(plan).filter((run) => run.bedId !== 'bed-2');
    const missed = plan.runs.filter((run) => run.bedId === 'bed-2' && run.cycle === 1);
    const text = card({ runs, missed });
    expect(text).toMatch(/^Bed Two \(invented\) +germination +0 +5\.10 mm +0\.00 mm +0 +09:00$/m);
    expect(text).toContain('Missed before the confirm, not made up for: 06:30 Bed Two (invented).');
  });

  it('writes in the units of the person', () => {
    expect(card({ reader: us })).toContain('high 88 °F');
    expect(card({ reader: us })).toContain('0.039 in');
    expect(card()).toContain('reference ET 6.20 mm');
  });

  it('carries warnings and every caution', () => {
    expect(card()).toContain(
      '* Bed Two (invented): the rotation that B. Tester (invented) asked for found no',
    );
    expect(CAUTIONS).toHaveLength(9);
    for (const [, caution] of CAUTIONS) expect(card()).toContain(`! ${caution}`);
  });

  it('does without a sun that rises and without cycles', () => {
    const text = card({ plan: examplePlan({ sunriseMs: null, sunsetMs: null }), runs: [] });
    expect(text).toContain('Sunrise none   Sunset none');
    expect(text).toContain('No cycles.');
  });

  it('stays within 80 columns whatever names and texts are', () => {
    const words = fc.string({ unit: 'grapheme', minLength: 1, maxLength: 120 });
    fc.assert(
      fc.property(words, words, words, (name, text, who) => {
        const named = examplePlan({
          siteName: name,
          beds: plan.beds.map((bed) => ({ ...bed, name })),
          warnings: [{ code: 'missed_away', bedId: null, text }],
        });
        const state = {
          kind: 'partly_held',
          who,
          why: text,
          atMs: EXAMPLE_MADE_AT_MS,
          heldBedIds: ['bed-1'],
        } as const;
        const readers = [us, { ...us, language: 'es' } as const];
        for (const reader of readers) {
          for (const line of card({ plan: named, state, reader }).split('\n')) {
            expect([...line].length).toBeLessThanOrEqual(CARD_WIDTH);
          }
        }
      }),
      { seed: 80, numRuns: 60 },
    );
  });
});

describe('a card of a plan that knows its bands', () => {
  const HOUR_MS = 3_600_000;
  const banded = examplePlan({
    beds: plan.beds.map((bed, index) => ({
      ...bed,
      dryBandMs: {
        earliestMs: (bed.dryAtMs ?? 0) - HOUR_MS,
        latestMs: index === 0 ? (bed.dryAtMs ?? 0) + 2 * HOUR_MS : null,
      },
    })),
    weather: { ...plan.weather, futuresBasis: 'published' },
  });

  it('tells between which times a bed gets dry, beneath the time itself, and what that is', () => {
    const text = card({ plan: banded });
    expect(text).toMatch(/^Bed One \(invented\) .* 09:00\n {60,}\(08:00 to 11:00\)$/m);
    expect(text).toMatch(/^ {60,}\(08:00 or later\)$/m);
    expect(text).toContain('In brackets: between which times that is nine times in ten.');
    expect(text).toContain('How far the weather may be off: usual errors of day-ahead forecasts.');
    for (const line of text.split('\n')) expect([...line].length).toBeLessThanOrEqual(CARD_WIDTH);
    const spanish = card({ plan: banded, reader: { ...metric, language: 'es' } });
    expect(spanish).toContain('(08:00 a 11:00)');
  });

  it('tells neither of a plan of before', () => {
    expect(card()).not.toMatch(/In brackets|may be off|Laid so/);
  });

  it('has them in the rows of the terminal and the page as well', () => {
    const dryAt = (one: DayPlan) => bedRows(one, metric).map((row) => row[3]);
    expect(dryAt(banded)[0]).toBe('09:00, 4.0 h (08:00 to 11:00)');
    expect(dryAt(plan)[0]).toBe('09:00, 4.0 h');
  });
});

describe('a card in Spanish', () => {
  const spanish = card({ reader: { ...metric, language: 'es' } });

  it('has no word of English left but names and what people wrote', () => {
    expect(spanish).toContain('SIN CONFIRMAR. Nada de esta tarjeta empieza por sí solo.');
    expect(spanish).toContain('miércoles 2026-07-01');
    expect(spanish).toMatch(/^HORA {3}ÁREA .* ESTACIONES/m);
    expect(spanish).toMatch(/^\* nota: Viento, 11:00 a 14:00, todas las áreas\. El viento daña/m);
    // Names, sources and the zone are as they were given.
    expect(spanish).not.toMatch(/\b(the|is|and|water|starts|with|hours|strongest|Rule|Saw)\b/);
  });
});

describe('emptyCard', () => {
  it('says that nothing runs, by whom and why', () => {
    const given = { siteId: 'example-site', siteDay: '2026-07-01', atMs: EXAMPLE_MADE_AT_MS };
    const text = emptyCard({ ...given, who: 'B. Tester', why: 'visitors' }, metric);
    expect(text).toContain('NO WATER. All water was stopped by B. Tester at 05:00.');
    expect(text).toContain('Why: visitors');
    expect(text).toContain('Nothing starts until a person confirms a fresh plan.');
  });
});

describe('card text', () => {
  it('folds at spaces and cuts only a word that fits nowhere', () => {
    expect(fold('aa bb cc', '', '', 5)).toEqual(['aa bb', 'cc']);
    expect(fold('abcdefg', '', '', 3)).toEqual(['abc', 'def', 'g']);
    expect(fold('aa bb', '* ', '  ', 5)).toEqual(['* aa', '  bb']);
  });

  it('continues a long cell below and cuts nothing off', () => {
    expect(columns([-4, 3], ['north bed', '7'])).toEqual(['nort    7', 'h', 'bed']);
  });
});
