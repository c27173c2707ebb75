import { describe, expect, it } from 'vitest';
import { sayLearned } from '../../../daemon/words/look-words.ts';
import { sayTo } from '../../../daemon/words/plan-words.ts';
import { sayWorthLooking } from '../../../daemon/words/worth-looking-words.ts';
import { EXAMPLE_MADE_AT_MS, examplePlan } from '../../example-plan.ts';
import { inventedReader, toldOf } from '../../reader.ts';

const english = inventedReader();
const spanish = { ...english, language: 'es' as const };
const learned = (storeChangeFraction: number, lossChangeFraction: number) => ({
  storeChangeFraction,
  lossChangeFraction,
});

describe('what looks have taught of a sand', () => {
  const say = sayTo(english);

  it('is told in percent of what it holds and how fast it loses', () => {
    expect(sayLearned(learned(-0.09, 0.1), say)).toBe('holding 9 % less and losing 10 % faster');
    expect(sayLearned(learned(0.12, -0.021), say)).toBe('holding 12 % more and losing 2 % slower');
    expect(sayLearned(learned(-0.09, 0.1), sayTo(spanish))).toBe(
      'guarda un 9 % menos y pierde un 10 % más deprisa',
    );
  });

  it('leaves out what is under 2 %, and says nothing where all of it is', () => {
    expect(sayLearned(learned(-0.019, 0.1), say)).toBe('losing 10 % faster');
    expect(sayLearned(learned(-0.03, -0.019), say)).toBe('holding 3 % less');
    expect(sayLearned(learned(-0.019, 0.019), say)).toBeNull();
  });

  it('stands in the plan, with how many looks were not believed', () => {
    const plan = (summary: ReturnType<typeof learned>, setAside: number) => {
      const warning = { code: 'looks' as const, bedId: 'bed-1', looks: 3 };
      return examplePlan({ warnings: [{ ...warning, learned: { ...summary, setAside } }] });
    };
    expect(toldOf(plan(learned(-0.09, 0), 1), 'looks')[0]).toMatch(
      /rests on 3 looks: it counts as holding 9 % less than by its sand alone; 1 set aside/,
    );
    expect(toldOf(plan(learned(0.01, 0), 0), 'looks')[0]).toMatch(
      /rests on 3 looks, by which it is as its sand says\.$/,
    );
  });
});

describe('where a look is worth most', () => {
  it('is told in one line, with beds and times, and not at all where it is nowhere', () => {
    const [first] = examplePlan().beds;
    const bedId = first?.bedId ?? '';
    const plan = examplePlan({
      worthLooking: [
        { bedId, atMs: EXAMPLE_MADE_AT_MS + 340 * 60_000 },
        { bedId, atMs: EXAMPLE_MADE_AT_MS + 500 * 60_000 },
      ],
    });
    const name = first?.name;
    expect(sayWorthLooking(plan, english)).toBe(
      `Worth a look: ${name} at about 10:40, ${name} at about 13:20.`,
    );
    expect(sayWorthLooking(plan, spanish)).toBe(
      `Vale la pena mirar: ${name} hacia las 10:40, ${name} hacia las 13:20.`,
    );
    expect(sayWorthLooking(examplePlan(), english)).toBeNull();
  });
});
