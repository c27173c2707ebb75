import type { BedPlan } from './day-plan.ts';
import { type NightException, type NightWater, takesDeepRefill } from './night-water.ts';
import type { PlanWarning } from './plan-warning.ts';

/** What a person must know of water at night: which beds get it and why, and what came too late. */
export function nightWarnings(input: {
  night: NightWater;
  beds: readonly BedPlan[];
  firstRunMs: number;
}): PlanWarning[] {
  const { night, beds, firstRunMs } = input;
  const told = EXCEPTIONS.flatMap((exception): PlanWarning[] => {
    const watered = beds.filter(({ cycles }) =>
      cycles.some(({ reasons }) =>
        reasons.some((one) => one.code === 'night_water' && one.exception === exception),
      ),
    );
    if (watered.length === 0) return [];
    const bedIds = watered.map(({ bedId }) => bedId);
    return [{ code: 'night_water', bedId: null, exception, bedIds }];
  });
  const { deepRefill } = night;
  const late = beds.filter((bed) => takesDeepRefill(bed.stage));
  if (deepRefill === null || deepRefill.startMs >= firstRunMs || late.length === 0) return told;
  const { startMs: refillStartMs, endMs: refillEndMs } = deepRefill;
  return [
    ...told,
    { code: 'deep_refill_missed', bedId: null, refillStartMs, refillEndMs, firstRunMs },
  ];
}

const EXCEPTIONS: readonly NightException[] = ['dry_wind', 'first_night', 'deep_refill'];
