import { NotReckoned } from '../planning/planning-context.ts';

/**
 * Runs works one after another in the order in which they came: planning takes the whole processor.
 *
 * @param mostWaiting So many may wait; one more throws NotReckoned, and nothing of it is done.
 */
export function oneAfterAnother(
  mostWaiting = Number.POSITIVE_INFINITY,
): <T>(work: () => Promise<T>) => Promise<T> {
  let last: Promise<unknown> = Promise.resolve();
  let open = 0;
  return async (work) => {
    if (open > mostWaiting) {
      throw new NotReckoned('too_busy', {
        key: 'not_reckoned.too_many_changes',
        values: { count: open },
      });
    }
    open += 1;
    const done = last.then(work, work);
    last = done.catch(() => undefined);
    try {
      return await done;
    } finally {
      open -= 1;
    }
  };
}
