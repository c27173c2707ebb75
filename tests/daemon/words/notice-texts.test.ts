import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { NOTICE_CODES } from '../../../calc/growth/notice.ts';
import type { PlanNotice } from '../../../calc/schedule/day-plan.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EN } from '../../../daemon/words/en.ts';
import { isMessage } from '../../../daemon/words/language.ts';
import { noticeTexts, sayInput, sayRule } from '../../../daemon/words/notice-texts.ts';
import { readerOf } from '../../../daemon/words/plan-words.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';

const HOUR_MS = 3_600_000;
const clock = siteClock(EXAMPLE_ZONE);

const notice = (change: Partial<PlanNotice>): PlanNotice => ({
  code: 'too_much_water',
  severity: 'note',
  inputs: { netMm: 4.126, percentOfLossPct: 151.24 },
  limits: { littlePct: 85, muchPct: 130, farTooMuchPct: 200 },
  fromMs: EXAMPLE_MADE_AT_MS,
  toMs: EXAMPLE_MADE_AT_MS + 24 * HOUR_MS,
  bedIds: ['bed-1'],
  ...change,
});
const textsOf = (notices: PlanNotice[]) =>
  noticeTexts(examplePlan({ notices }), readerOf({ clock, units: 'metric' }));

describe('sayInput', () => {
  it.each([
    ['lowC', 1.234, 'low 1.2 °C'],
    ['heaviestMmPerH', 9, 'heaviest 9.0 mm/h'],
    ['strongestMPerS', 12.34, 'strongest 12.3 m/s'],
    ['waterDSPerM', 1.4, 'water 1.4 dS/m'],
    ['percentOfLossPct', 151.24, 'percent of loss 151.2 %'],
    ['humidHours', 15, 'humid hours 15'],
    ['class', 'slight_to_moderate', 'class slight to moderate'],
  ])('says %s with its unit', (name, value, said) => {
    expect(sayInput(name, value, readerOf({ clock, units: 'metric' }))).toBe(said);
  });

  it('says it in the units of the person', () => {
    expect(sayInput('lowC', 1.234, readerOf({ clock, units: 'us' }))).toBe('low 34 °F');
    expect(sayInput('strongestMPerS', 12.34, readerOf({ clock, units: 'us' }))).toBe(
      'strongest 28 mph',
    );
  });
});

describe('sayRule', () => {
  it.each([
    [
      { code: 'frost', inputs: { lowC: -3, limitC: -1.5, coldHours: 4 }, limits: {} },
      'No irrigation at or below -1.5 °C and falling (common practice).',
      'No irrigation at or below 29 °F and falling (common practice).',
    ],
    [
      {
        code: 'wind',
        inputs: { strongestMPerS: 7, hurtMPerS: 4, sharplyHurtMPerS: 6 },
        limits: {},
      },
      'Pattern badly hurt above 4.0 m/s, sharply above 6.0 m/s (irrigation research).',
      'Pattern badly hurt above 9 mph, sharply above 13 mph (irrigation research).',
    ],
    [
      { code: 'heavy_rain', inputs: { rainMm: 30 }, limits: { heavyMmPerH: 7.6, leachingMm: 5 } },
      'An hour above 7.6 mm/h (heavy rain, from memory) on a seedbed without room for it, or 5.00 mm beyond its room (assumed).',
      'An hour above 0.30 in/h (heavy rain, from memory) on a seedbed without room for it, or 0.197 in beyond its room (assumed).',
    ],
  ] as const)('says the figures of %j in the units of the person', (notice, metric, us) => {
    expect(sayRule(notice, readerOf({ clock, units: 'metric' }))).toBe(metric);
    expect(sayRule(notice, readerOf({ clock, units: 'us' }))).toBe(us);
  });

  it('has words for every input of every rule', () => {
    // Names are read off the rules themselves: a new one without words is told here.
    const folder = new URL('../../../calc/growth/hazards/', import.meta.url);
    const names = readdirSync(folder).flatMap((file) => {
      const text = readFileSync(new URL(file, folder), 'utf8');
      const inputs = [...text.matchAll(/inputs: \{([^}]*)\}/g)].flatMap(([, list = '']) =>
        list.split(',').map((item) => /(\w+)/.exec(item)?.[1] ?? ''),
      );
      return inputs.filter((name) => name !== '' && !/^(lossMm_|0)$/.test(name));
    });
    expect(new Set(names).size).toBeGreaterThan(20);
    const withoutWords = names.filter(
      (name) => !isMessage(`input.${name.replace(/(MmPerH|DSPerM|MPerS|Pct|Mm|C)$/, '')}`),
    );
    expect(withoutWords).toEqual([]);
  });

  it('has words for every notice and each of its severities that a rule can give', () => {
    for (const code of NOTICE_CODES) expect(isMessage(`rule.${code}`)).toBe(true);
    const given = Object.keys(EN).filter((key) => /^notice\..*\.(note|warn|danger)$/.test(key));
    expect(given).toHaveLength(19);
  });
});

describe('noticeTexts', () => {
  it('draws together what is said of several beds, and keeps what each rule saw', () => {
    const texts = textsOf([
      notice({}),
      notice({ bedIds: ['bed-2'], inputs: { netMm: 5 } }),
      notice({ code: 'too_little_water', severity: 'warn', bedIds: ['bed-3'] }),
    ]);
    expect(texts.map((text) => text.title)).toEqual([
      'More water than loss, 05:00 to 05:00 tomorrow, Bed One (invented), Bed Two (invented)',
      'Less water than loss, 05:00 to 05:00 tomorrow, Bed Three (invented)',
    ]);
    expect(texts[0]?.saw).toEqual([
      'Bed One (invented): net 4.13 mm, percent of loss 151.2 %',
      'Bed Two (invented): net 5.00 mm',
    ]);
    expect(texts[1]?.saw).toEqual(['net 4.13 mm, percent of loss 151.2 %']);
  });

  it('says all beds where it is all of them, once where all saw the same', () => {
    const [text, ...rest] = textsOf(
      ['bed-1', 'bed-2', 'bed-3'].map((bedId) => notice({ bedIds: [bedId] })),
    );
    expect(rest).toEqual([]);
    expect(text?.title).toMatch(/, all beds$/);
    expect(text?.saw).toHaveLength(1);
  });
});
