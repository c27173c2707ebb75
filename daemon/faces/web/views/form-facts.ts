import type { FormFacts } from '../../../actions/spec.ts';
import type { TodayView } from './today-view.ts';

/** What a form has to know of the day, from what the screen beside it shows. */
export function formFacts(
  view: TodayView,
  asked: { bedId: string | null; signs: readonly string[] },
): FormFacts {
  const { call, keepOffs, question, holds } = view;
  const bed = view.beds.find(({ id }) => id === asked.bedId);
  return {
    bed: bed === undefined ? null : { ...bed, stage: bed.stageName },
    call,
    keepOffs,
    question,
    holds,
    signs: asked.signs.map((sign) => sign.replace(/\.$/, '').slice(0, 200)),
  };
}
