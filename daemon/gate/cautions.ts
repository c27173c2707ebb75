import type { DayPlan } from '../../calc/schedule/day-plan.ts';

/** What a person must have looked at before water may start. */
export interface Caution {
  code: string;
  text: string;
}

/** What every confirm asks for. */
export const CAUTIONS: readonly Caution[] = [
  { code: 'turf_clear', text: 'The turf is clear of people and machines; pits are covered.' },
  { code: 'no_injector_armed', text: 'No injector is armed on these lines.' },
  { code: 'covers_off', text: 'Covers are off the beds that get water.' },
];

/** Asked for besides where hours of the plan rest on weather that nobody measured or foretold. */
export const WEATHER_STANDS_IN: Caution = {
  code: 'weather_stands_in',
  text: 'The plan rests on stand-in weather: you have looked at the sky, and the day is like that.',
};

/** Every caution that there is. */
export const ALL_CAUTIONS: readonly Caution[] = [...CAUTIONS, WEATHER_STANDS_IN];

/** The cautions that a confirm of this plan needs. The plan carries why, so its digest does too. */
export function cautionsFor(plan: Pick<DayPlan, 'weather'>): readonly Caution[] {
  return (plan.weather.standInH ?? 0) > 0 ? ALL_CAUTIONS : CAUTIONS;
}

/** The cautions of a plan that were not ticked. */
export function unticked(plan: Pick<DayPlan, 'weather'>, ticked: readonly string[]): Caution[] {
  return cautionsFor(plan).filter((caution) => !ticked.includes(caution.code));
}
