import { describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { sayBedRisk, sayPlanRisk } from '../../../daemon/words/risk-words.ts';
import { saySpread, weatherLines } from '../../../daemon/words/weather-words.ts';
import { EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';

const en = { language: 'en' } as const;
const es = { language: 'es' } as const;

/** The example's beds, each with a share of days on which it gets dry; accepted is one in twenty. */
function planOf(risks: readonly (number | undefined)[], riskFraction: number | null = 0.05) {
  const plan = examplePlan();
  const ground = { limits: riskFraction === null ? {} : { riskFraction } } as DayPlan['ground'];
  const [first] = plan.beds;
  if (first === undefined || ground === undefined) throw new Error('no bed');
  const beds = risks.map((risk, index) => ({
    ...first,
    bedId: `green-${index + 1}`,
    name: `Green ${index + 1}`,
    ...(risk === undefined ? {} : { dryRiskFraction: risk }),
  }));
  return { ...plan, beds, ground };
}

const bedRisk = (risk: number, reader: typeof en | typeof es = en) => {
  const plan = planOf([risk]);
  return sayBedRisk(plan.beds[0] ?? {}, plan, reader);
};

describe('the risk of a dry bed', () => {
  it('is told of a bed where it passes the accepted one noticeably', () => {
    expect(bedRisk(2 / 24)).toBe('dry for a while in 1 of 12 such days');
    expect(bedRisk(2 / 24, es)).toBe('seca un rato en 1 de 12 días como este');
    expect(bedRisk(17 / 24)).toBe('dry for a while in 7 of 10 such days');
    expect(bedRisk(1)).toBe('dry for a while in 10 of 10 such days');
    expect(bedRisk(1 / 24)).toBeNull();
    expect(bedRisk(0.06)).toBeNull();
    expect(bedRisk(0)).toBeNull();
  });

  it('is told of the plan in one line, with the beds that keep it not', () => {
    const kept = 'Laid so that each bed gets dry for a while on at most one day in 20.';
    expect(sayPlanRisk(planOf([0, 1 / 24]), en)).toBe(kept);
    expect(sayPlanRisk(planOf([2 / 24, 0, 6 / 24]), en)).toBe(
      `${kept} More often: Green 3, 1 of 4 such days; Green 1, 1 of 12 such days.`,
    );
    expect(sayPlanRisk(planOf([0.5, 0.5, 0.5, 0.5, 0.5]), en)).toMatch(/; 1 more bed\.$/);
    expect(sayPlanRisk(planOf([0]), es)).toMatch(/cuando mucho un día de cada 20\.$/);
  });

  it('is not told of plans of before', () => {
    expect(sayPlanRisk(planOf([undefined]), en)).toBeNull();
    expect(sayPlanRisk(planOf([0.5], null), en)).toBeNull();
    const { ground: _, ...rest } = planOf([0.5]);
    const bare: Pick<DayPlan, 'beds' | 'ground'> = rest;
    expect(sayPlanRisk(bare, en)).toBeNull();
    expect(sayBedRisk({ dryRiskFraction: 0.5 }, bare, en)).toBeNull();
  });
});

describe('how far the weather may be off', () => {
  const plan = examplePlan();
  const reader = { language: 'en', clock: siteClock(EXAMPLE_ZONE) } as const;
  it.each([
    ['ensemble', "the source's own members"],
    ['record', "this site's own record of forecasts"],
    ['published', 'usual errors of day-ahead forecasts'],
    ['spread_of_days', 'how days differ here'],
  ] as const)('rests on %s', (futuresBasis, words) => {
    expect(saySpread({ futuresBasis }, en)).toBe(words);
    const told = { ...plan, weather: { ...plan.weather, futuresBasis } };
    expect(weatherLines(told, reader).at(-1)).toBe(`  how far it may be off: ${words}`);
  });

  it('is not told of a plan that has no spread', () => {
    expect(saySpread({}, en)).toBeNull();
    expect(weatherLines(plan, reader).join()).not.toContain('may be off');
  });
});
