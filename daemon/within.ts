/** What came of work that was waited for only so long. */
export type Waited<T> = { ended: true; value: T } | { ended: false };

/**
 * Waits for work, but no longer than the patience given; the work itself goes on. A fault of the
 * work after that is nobody's any more and is swallowed here, so that it ends no process.
 */
export async function within<T>(work: Promise<T>, patienceMs: number): Promise<Waited<T>> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<Waited<T>>((resolve) => {
    timer = setTimeout(() => resolve({ ended: false }), patienceMs);
  });
  try {
    return await Promise.race([work.then((value): Waited<T> => ({ ended: true, value })), late]);
  } finally {
    clearTimeout(timer);
    work.catch(() => undefined);
  }
}
