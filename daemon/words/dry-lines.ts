/** Minutes in daylight for which a bed is expected dry, before a change and after it. */
export interface DryBed {
  name: string;
  /** Null: there was no plan before. */
  beforeMin: number | null;
  afterMin: number;
}

/**
 * The harm of a change, bed by bed, before anything else that it does: who will be dry for how long,
 * those that lose most first. One line when nobody is.
 */
export function dryLines(beds: readonly DryBed[]): string[] {
  const dry = beds
    .filter(({ beforeMin, afterMin }) => afterMin > 0 || (beforeMin ?? 0) > 0)
    .toSorted((a, b) => gainOf(b) - gainOf(a) || b.afterMin - a.afterMin);
  if (dry.length === 0) return ['No bed gets dry in daylight.'];
  return dry.map(({ name, beforeMin, afterMin }) => {
    const was = beforeMin === null || beforeMin === afterMin ? '' : ` (before: ${beforeMin} min)`;
    return afterMin > 0
      ? `${name}: dry for ${afterMin} min in daylight${was}.`
      : `${name}: not dry any more${was}.`;
  });
}

function gainOf({ beforeMin, afterMin }: DryBed): number {
  return afterMin - (beforeMin ?? 0);
}
