import type { MemberLook } from './member-look.ts';

/** Looks of one person at one bed that are nearer together than this are one look. */
const SAME_LOOK_MS = 20 * 60_000;

/**
 * Which of a bed's looks count. The same person at the same bed within twenty minutes of a first look
 * sees the same bed in the same light: of those looks the last counts, since it corrects the others.
 * A surface and a reading are two kinds of evidence and both count.
 *
 * @param looks of one bed, in order of time
 * @throws RangeError when they are not in order of time
 */
export function countedLooks(looks: readonly MemberLook[]): boolean[] {
  const counts = looks.map(() => true);
  const firstOf = new Map<string, { atMs: number; last: number }>();
  looks.forEach((look, index) => {
    if (look.atMs < (looks[index - 1]?.atMs ?? look.atMs)) {
      throw new RangeError('countedLooks: looks must come in order of time; sort them');
    }
    const key = JSON.stringify([look.who, look.sight.kind]);
    const first = firstOf.get(key);
    if (first !== undefined && look.atMs - first.atMs < SAME_LOOK_MS) {
      counts[first.last] = false;
      first.last = index;
    } else {
      firstOf.set(key, { atMs: look.atMs, last: index });
    }
  });
  return counts;
}
