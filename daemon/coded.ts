/**
 * What is to be told of something, as a code and its facts. The ending of a fact's name says how it is told:
 * `Ms` an instant, `Mm` a depth, `S` a duration, `L` a volume, `Stage` a stage; the rest stands as it is.
 */
export interface Coded {
  code: string;
  [fact: string]: string | number | null;
}

/** Beds as a fact: the word `all`, or their ids. */
export function bedsFact(beds: 'all' | readonly string[]): string {
  return beds === 'all' ? 'all' : beds.join(', ');
}
