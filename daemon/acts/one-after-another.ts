/** Runs works one after another in the order in which they came: planning takes the whole processor. */
export function oneAfterAnother(): <T>(work: () => Promise<T>) => Promise<T> {
  let last: Promise<unknown> = Promise.resolve();
  return (work) => {
    const done = last.then(work, work);
    last = done.catch(() => undefined);
    return done;
  };
}
