import { STAGE_NAMES } from '../../../../calc/growth/stages.ts';
import type { FormFacts } from '../../../actions/spec.ts';
import type { TodayView } from './today-view.ts';

/** What a form has to know of the day, from what the screen beside it shows. */
export function formFacts(
  view: TodayView,
  asked: { bedId: string | null; signs: readonly string[] },
): FormFacts {
  const { call, keepOffs, question, holds } = view;
  const bed = view.beds.find(({ id }) => id === asked.bedId);
  const stage = STAGE_NAMES.find((name) => name.replaceAll('_', ' ') === bed?.stage);
  return {
    bed: bed === undefined || stage === undefined ? null : { ...bed, stage },
    call,
    keepOffs,
    question,
    holds,
    signs: asked.signs.map((sign) => sign.replace(/\.$/, '').slice(0, 200)),
  };
}
