import { modelStore } from '../../calc/sand/model-store.ts';
import { sandClassModels } from '../../calc/sand/sand-class-models.ts';
import type { DayPlanInput } from '../../calc/schedule/plan-day.ts';
import { bigSite } from './big-site.ts';

const SANDS = ['coarse_open', 'medium_open', 'medium_over_gravel'];

/** The invented big site on sands whose whole model counts, as after a laboratory report. */
export function onReportedSands(bedCount: number): DayPlanInput {
  const input = bigSite(bedCount);
  return {
    ...input,
    stores: new Map(
      input.site.beds.map((bed, index) => {
        const known = sandClassModels[SANDS[index % SANDS.length] ?? ''];
        if (known === undefined) throw new Error('the sand classes have changed their names');
        return [bed.id, modelStore(known.model)];
      }),
    ),
  };
}
