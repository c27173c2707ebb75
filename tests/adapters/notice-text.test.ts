import { describe, expect, it } from 'vitest';
import { display } from '../../adapters/display-units.ts';
import { noticeTexts, sayInput, sayRule } from '../../adapters/notice-text.ts';
import type { PlanNotice } from '../../calc/schedule/day-plan.ts';
import { siteClock } from '../../daemon/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_ZONE, examplePlan } from '../example-plan.ts';

const HOUR_MS = 3_600_000;
const clock = siteClock(EXAMPLE_ZONE);

const notice = (change: Partial<PlanNotice>): PlanNotice => ({
  code: 'too_much_water',
  severity: 'note',
  text: 'Invented.',
  rule: 'An invented rule.',
  inputs: { netMm: 4.126, percentOfLossPct: 151.24 },
  fromMs: EXAMPLE_MADE_AT_MS,
  toMs: EXAMPLE_MADE_AT_MS + 24 * HOUR_MS,
  bedIds: ['bed-1'],
  ...change,
});
const textsOf = (notices: PlanNotice[]) =>
  noticeTexts(examplePlan({ notices }), { clock, show: display('metric') });

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
    expect(sayInput(name, value, display('metric'))).toBe(said);
  });

  it('says it in the units of the person', () => {
    expect(sayInput('lowC', 1.234, display('us'))).toBe('low 34 °F');
    expect(sayInput('strongestMPerS', 12.34, display('us'))).toBe('strongest 28 mph');
  });
});

describe('sayRule', () => {
  it.each([
    ['Roots held back from 32 °C (invented).', 'Roots held back from 90 °F (invented).'],
    ['No water at or below -1.5 °C and falling.', 'No water at or below 29 °F and falling.'],
    ['Hurt above 4.0 m/s, sharply above 6.0 m/s.', 'Hurt above 9 mph, sharply above 13 mph.'],
    ['An hour above 7.5 mm, or 2 mm beyond.', 'An hour above 0.295 in, or 0.079 in beyond.'],
    [
      'At least 14 h with humidity above 90 %, 2 dS/m.',
      'At least 14 h with humidity above 90 %, 2 dS/m.',
    ],
  ])('says %s in US units', (rule, said) => {
    expect(sayRule(rule, display('us'))).toBe(said);
    expect(sayRule(rule, display('metric'))).toBe(rule);
  });
});

describe('noticeTexts', () => {
  it('draws together what is said of several beds, and keeps what each rule saw', () => {
    const texts = textsOf([
      notice({}),
      notice({ bedIds: ['bed-2'], inputs: { netMm: 5 } }),
      notice({ code: 'damping_off', bedIds: ['bed-3'] }),
    ]);
    expect(texts.map((text) => text.title)).toEqual([
      'More water than loss, 05:00 to 05:00 tomorrow, Bed One (invented), Bed Two (invented)',
      'Damping-off weather, 05:00 to 05:00 tomorrow, Bed Three (invented)',
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
