/** Something said of a bed. */
export interface SaidOfBed {
  name: string;
  text: string;
}

/** Beds of which the same is said, in one line each text, in the order of their first bed. */
export function bedsAlike(said: readonly SaidOfBed[]): string[] {
  const namesOf = new Map<string, string[]>();
  for (const { name, text } of said) namesOf.set(text, [...(namesOf.get(text) ?? []), name]);
  return [...namesOf].map(([text, names]) => `${names.join(', ')}: ${text}`);
}
