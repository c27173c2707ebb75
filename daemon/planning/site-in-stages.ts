import { type BedStanding, bedStanding, type StageMove } from '../../calc/growth/bed-standing.ts';
import type { StageName } from '../../calc/growth/stages.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { BedTrim } from '../store/bed-trims.ts';

/** Where each bed stands, in the order of the config. */
export function standingsOf(site: Site, moves: readonly StageMove[]): BedStanding[] {
  return site.beds.map((bed) => bedStanding({ bedId: bed.id, configStage: bed.stage, moves }));
}

/** The site with each bed in the stage given for it; a bed without one keeps its own. */
export function siteInStages(site: Site, stageOf: ReadonlyMap<string, StageName>): Site {
  return {
    ...site,
    beds: site.beds.map((bed) => ({ ...bed, stage: stageOf.get(bed.id) ?? bed.stage })),
  };
}

/** The site with the trims that persons set; a bed without one keeps the config's. */
export function trimmedSite(site: Site, trims: readonly BedTrim[]): Site {
  return {
    ...site,
    beds: site.beds.map((bed) => {
      const trim = trims.findLast((one) => one.bedId === bed.id);
      return trim === undefined ? bed : { ...bed, trimFraction: trim.trimFraction };
    }),
  };
}
