/** A bed as people and files name it; a file of a site without its config knows the ids alone. */
export interface NamedBed {
  id: string;
  name?: string;
}

/**
 * The id of the bed that somebody means: by its id, by its name however it is written, or by its number
 * where just one bed has it. What leads nowhere, or to several, comes back as it was written: whoever
 * asks says that there is no such bed.
 *
 * @example '3' and 'Green 3' are green-3 where no other bed ends in a 3 of its own
 */
export function bedIdOf(text: string, beds: readonly NamedBed[]): string {
  if (beds.some(({ id }) => id === text)) return text;
  const plain = (name: string) => name.trim().toLowerCase().replace(/\s+/g, ' ');
  const only = (fits: (bed: NamedBed) => boolean) => {
    const found = beds.filter(fits);
    return found.length === 1 ? found[0]?.id : undefined;
  };
  const byName = only(({ id, name }) => [id, name ?? id].map(plain).includes(plain(text)));
  if (byName !== undefined) return byName;
  const [number] = /^\d+$/.exec(text.trim()) ?? [];
  if (number === undefined) return text;
  const numberOf = (name: string) => /(\d+)\D*$/.exec(name)?.[1];
  const isIt = (name: string | undefined) =>
    name !== undefined && Number(numberOf(name) ?? Number.NaN) === Number(number);
  return only(({ id, name }) => isIt(id) || isIt(name)) ?? text;
}
