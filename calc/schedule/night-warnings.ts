import type { BedPlan } from './day-plan.ts';
import { type NightException, type NightWater, takesDeepRefill } from './night-water.ts';
import type { PlanWarning } from './plan-warning.ts';
import { type SayMeasures, sayNight } from './reasons.ts';

/** What a person must know of water at night: which beds get it and why, and what came too late. */
export function nightWarnings(input: {
  night: NightWater;
  beds: readonly BedPlan[];
  firstRunMs: number;
  say: Pick<SayMeasures, 'timeOf'>;
}): PlanWarning[] {
  const { night, beds, firstRunMs, say } = input;
  const told = EXCEPTIONS.flatMap((exception): PlanWarning[] => {
    const watered = beds.filter(({ cycles }) =>
      cycles.some(({ reasons }) =>
        reasons.some((one) => one.code === 'night_water' && one.exception === exception),
      ),
    );
    if (watered.length === 0) return [];
    const names = watered.map((bed) => bed.name).join(', ');
    return [
      {
        code: 'night_water',
        bedId: null,
        text: `Water at night on ${names}: ${sayNight(exception)}. A wet night invites disease: look at it before you confirm.`,
      },
    ];
  });
  const { deepRefill } = night;
  const late = beds.filter((bed) => takesDeepRefill(bed.stage));
  if (deepRefill === null || deepRefill.startMs >= firstRunMs || late.length === 0) return told;
  const missed = deepRefill.endMs <= firstRunMs ? 'was over' : 'had begun';
  return [
    ...told,
    {
      code: 'night_water',
      bedId: null,
      text: `The deep refill from ${say.timeOf(deepRefill.startMs)} ${missed} when this plan could first run, at ${say.timeOf(firstRunMs)}: set morning.at to an earlier time to have it whole.`,
    },
  ];
}

const EXCEPTIONS: readonly NightException[] = ['dry_wind', 'first_night', 'deep_refill'];
