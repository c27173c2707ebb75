import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { bedName, type Reader, sayTo } from './plan-words.ts';

/** "Worth a look: Green 5 at about 10:40, Green 2 at about 13:20."; null where nothing is proposed. */
export function sayWorthLooking(
  plan: Pick<DayPlan, 'worthLooking' | 'beds'>,
  reader: Pick<Reader, 'language' | 'clock'>,
): string | null {
  const { worthLooking = [] } = plan;
  if (worthLooking.length === 0) return null;
  const say = sayTo(reader);
  const beds = worthLooking.map(({ bedId, atMs }) =>
    say('plan.worth_looking.bed', {
      bed: bedName(plan, bedId),
      at: reader.clock.timeOf(atMs),
    }),
  );
  return say('plan.worth_looking', { beds: beds.join(', ') });
}
