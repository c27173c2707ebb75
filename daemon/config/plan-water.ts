import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';
import type { PlanWater } from '../../calc/schedule/plan-notices.ts';
import { instantOn } from './instant-on.ts';
import type { WaterConfig } from './water-schema.ts';

/** Hours that permits of reclaimed water commonly allow. */
const COMMONLY_PERMITTED = { from: '22:00', to: '06:00' };

/** What is known of the water on a site day, with the permitted hours as instants. */
export function planWater(
  water: WaterConfig | null,
  day: SiteDay,
  clock: SiteClock,
): PlanWater | null {
  if (water === null) return null;
  const { from, to } = water.permitted ?? COMMONLY_PERMITTED;
  const overnight = to <= from;
  return {
    salinityDSPerM: water.ec ?? null,
    permitted: water.reclaimed
      ? [-1, 0].map((days) => {
          const begin = clock.addDays(day, days);
          return {
            startMs: instantOn(begin, from, clock),
            endMs: instantOn(overnight ? clock.addDays(begin, 1) : begin, to, clock),
          };
        })
      : null,
  };
}
