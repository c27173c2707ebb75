/**
 * The beds to stop, and a word about names that lead nowhere. Stopping must not fail over a slip of
 * the pen: what is known is stopped before anything is said of the rest.
 */
export function bedsToHold(
  known: readonly string[],
  asked: 'all' | readonly string[],
): { beds: 'all' | string[]; strangersLine: string } {
  if (asked === 'all') return { beds: 'all', strangersLine: '' };
  const named = [...new Set(asked)];
  const strangers = named.filter((id) => !known.includes(id));
  return {
    beds: named.filter((id) => known.includes(id)),
    strangersLine:
      strangers.length === 0
        ? ''
        : `no such bed (got ${strangers.join(', ')}); the beds are ${known.join(', ')}`,
  };
}
