/** What a person must have looked at before water may start. */
export interface Caution {
  code: string;
  text: string;
}

export const CAUTIONS: readonly Caution[] = [
  { code: 'turf_clear', text: 'The turf is clear of people and machines; pits are covered.' },
  { code: 'no_injector_armed', text: 'No injector is armed on these lines.' },
  { code: 'covers_off', text: 'Covers are off the beds that get water.' },
];

/** The cautions that were not ticked. */
export function unticked(ticked: readonly string[]): Caution[] {
  return CAUTIONS.filter((caution) => !ticked.includes(caution.code));
}
