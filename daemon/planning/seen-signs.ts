import type { SeenSigns } from '../../calc/growth/stage-signs.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { StoredLook } from '../store/looks.ts';

/** Signs older than this tell where the bed stood, not where it stands. */
const SIGNS_VALID_MS = 10 * 24 * 3_600_000;

/** The newest measure of each sign among a bed's looks. Pure. */
export function seenSigns(looks: readonly StoredLook[], bedId: string, nowMs: number): SeenSigns {
  const own = looks
    .filter((look) => look.bedId === bedId && look.undoneMs === null)
    .filter((look) => look.seenMs <= nowMs && look.seenMs >= nowMs - SIGNS_VALID_MS)
    .toSorted((a, b) => b.seenMs - a.seenMs);
  const newest = (pick: (look: StoredLook) => number | null) =>
    own.map(pick).find((value) => value !== null) ?? null;
  return {
    coverFraction: newest((look) => look.coverFraction),
    leafMm: newest((look) => look.leafMm),
    rootMm: newest((look) => look.rootMm),
  };
}

/**
 * The site with the cover that a person saw on each bed, which sets what it loses; a bed without such
 * a look, or that was moved to another stage since, has its stage's own. Pure.
 */
export function siteAsCovered(site: Site, looks: readonly StoredLook[], nowMs: number): Site {
  return {
    ...site,
    beds: site.beds.map((bed) => {
      const ofStage = looks.filter(({ stage }) => stage === bed.stage);
      const { coverFraction } = seenSigns(ofStage, bed.id, nowMs);
      return coverFraction === null ? bed : { ...bed, seenCoverFraction: coverFraction };
    }),
  };
}
