import type { Notice } from '../notice.ts';

/** A stretch of time. */
export interface Stretch {
  startMs: number;
  endMs: number;
}

/**
 * Cycles with reclaimed water outside the hours that its permit allows, or null.
 *
 * Permits commonly allow 22:00 to 06:00 unless the place is supervised, and a seedbed dries at noon:
 * the conflict is shown, not solved. The local permit decides; the caller gives its hours.
 *
 * @param asked the planned cycles and the permitted stretches, epoch ms; a cycle may lie across
 *   permitted stretches that touch.
 * @throws RangeError when a stretch ends before it starts.
 * Source: state rules for reclaimed water, commonly 22:00 to 06:00 unless supervised.
 */
export function reclaimedWaterNotice(asked: {
  cycles: readonly Stretch[];
  permitted: readonly Stretch[];
}): Notice | null {
  const cycles = inOrder('cycles', asked.cycles);
  const permitted = joined(inOrder('permitted', asked.permitted));
  const outside = cycles.filter(
    (cycle) => !permitted.some((one) => one.startMs <= cycle.startMs && cycle.endMs <= one.endMs),
  );
  const [first] = outside;
  if (first === undefined) return null;
  return {
    code: 'reclaimed_water',
    severity: 'danger',
    inputs: { cyclesOutside: outside.length, cycles: cycles.length },
    limits: {},
    fromMs: first.startMs,
    toMs: Math.max(...outside.map((cycle) => cycle.endMs)),
  };
}

function inOrder(name: string, stretches: readonly Stretch[]): Stretch[] {
  for (const { startMs, endMs } of stretches) {
    if (!(endMs >= startMs)) {
      throw new RangeError(
        `reclaimedWaterNotice.${name}: ends before it starts (got ${startMs} to ${endMs}); give the start first`,
      );
    }
  }
  return [...stretches].sort((a, b) => a.startMs - b.startMs);
}

function joined(stretches: readonly Stretch[]): Stretch[] {
  const result: Stretch[] = [];
  for (const one of stretches) {
    const last = result.at(-1);
    if (last !== undefined && one.startMs <= last.endMs) {
      last.endMs = Math.max(last.endMs, one.endMs);
    } else result.push({ ...one });
  }
  return result;
}
