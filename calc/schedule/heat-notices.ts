import { heatNotice } from '../growth/hazards/heat.ts';
import type { Stage, StageName } from '../growth/stages.ts';
import type { EtHour, WeatherHour } from '../sky/weather-hour.ts';
import type { BedPlan, PlanNotice } from './day-plan.ts';
import type { Site } from './site.ts';
import { surfaceOfHourC } from './surface-of-hour.ts';

const HOUR_MS = 3_600_000;
const MIN_MS = 60_000;

/**
 * Heat over the hours given: bare beds by the temperature of their surface, wet while the plan keeps
 * it wet and dry in hours in which it does not; beds with cover by the air. Beds that see the same
 * share one notice.
 */
export function heatNotices(input: {
  site: Site;
  stages: Readonly<Record<StageName, Stage>>;
  beds: readonly BedPlan[];
  hours: readonly EtHour[];
}): PlanNotice[] {
  const { site, stages, beds, hours } = input;
  const surface = (wetnessFraction: number) => (hour: WeatherHour) =>
    surfaceOfHourC({ hour, wetnessFraction, elevationM: site.elevationM });
  const covered = beds.filter((bed) => stages[bed.stage].coverFraction > 0);
  const bare = beds.filter((bed) => stages[bed.stage].coverFraction === 0);
  const wetTempsC = bare.length > 0 ? hours.map(surface(1)) : [];
  const staysWet = bare.filter((bed) => hours.every((hour) => !isDryIn(bed, hour.startMs)));
  const namesOf = (some: readonly BedPlan[]) =>
    some.length === beds.length ? [] : some.map((bed) => bed.bedId);

  const groups = [
    { beds: covered, notice: () => heatNotice({ hours }) },
    { beds: staysWet, notice: () => heatNotice({ hours, surfaceTempsC: wetTempsC }) },
    ...bare
      .filter((bed) => !staysWet.includes(bed))
      .map((bed) => ({
        beds: [bed],
        notice: () =>
          heatNotice({
            hours,
            surfaceTempsC: hours.map((hour, index) =>
              isDryIn(bed, hour.startMs) ? surface(0)(hour) : (wetTempsC[index] ?? hour.airTempC),
            ),
          }),
      })),
  ];
  return groups.flatMap((group) => {
    const notice = group.beds.length === 0 ? null : group.notice();
    return notice === null ? [] : [{ ...notice, bedIds: namesOf(group.beds) }];
  });
}

/** Whether a bed is expected below its dry limit for half of an hour or more. */
function isDryIn(bed: BedPlan, hourStartMs: number): boolean {
  const { startMs, stepMin, storeMm } = bed.expectedStore;
  const steps = storeMm.filter((mm, step) => {
    const atMs = startMs + step * stepMin * MIN_MS;
    return mm < 0 && atMs >= hourStartMs && atMs < hourStartMs + HOUR_MS;
  });
  return steps.length * stepMin >= 30;
}
