import { memberSpread } from '../../calc/futures/member-spread.ts';
import { weatherFutures } from '../../calc/futures/weather-futures.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import { membersOfClass, sandClassModels } from '../../calc/sand/sand-class-models.ts';
import type { SeedbedModel } from '../../calc/sand/seedbed-model.ts';
import { bedStores } from '../../calc/schedule/bed-stores.ts';
import type { DayPlanInput } from '../../calc/schedule/plan-day.ts';
import { bigSite } from './big-site.ts';

const SANDS = ['coarse_open', 'medium_open', 'medium_over_gravel'];

/** The invented big site on three sands in turn, as after a laboratory report. */
export function onReportedSands(bedCount: number): DayPlanInput {
  return onSands(bedCount, (sand) => {
    const known = sandClassModels[sand];
    if (known === undefined) throw new Error('the sand classes have changed their names');
    return [known.model];
  });
}

/** The same of which the class alone is known. */
export function onAssumedSands(bedCount: number): DayPlanInput {
  return onSands(bedCount, (sand) => membersOfClass(sand).map(({ model }) => model));
}

/** The same as a morning's plan meets it: the weather in two dozen futures too. */
export function overFutures(bedCount: number): DayPlanInput {
  const input = onAssumedSands(bedCount);
  const { hours, site: place, startMs: asOfMs } = input;
  const { members } = weatherFutures({ hours, place, asOfMs });
  return { ...input, weathers: members };
}

/** Every bed in its own stage of the big site. */
function onSands(
  bedCount: number,
  modelsOf: (sand: string) => readonly SeedbedModel[],
): DayPlanInput {
  const input = bigSite(bedCount);
  const beds = input.site.beds.map((bed, index) => ({
    ...bed,
    sand: { ...bed.sand, stated: null, className: SANDS[index % SANDS.length] ?? '' },
  }));
  const stores = bedStores(beds, STAGES, ({ className }) => memberSpread(modelsOf(className)));
  return { ...input, site: { ...input.site, beds }, stores };
}
