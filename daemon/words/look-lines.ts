import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { Learned } from '../../calc/looks/learn-bed.ts';
import type { SeenOnBed } from '../store/looks.ts';

/** What was seen, in one line: "dry, cover 40 %, leaf 8 mm". */
export function saySeen(look: SeenOnBed, show: UnitDisplay): string {
  const { surface, coverFraction, leafMm, rootMm, probeFraction, probeDepthMm, photo, note } = look;
  const percent = (part: number) => `${Math.round(100 * part)} %`;
  return [
    surface,
    coverFraction === null ? null : `cover ${percent(coverFraction)}`,
    leafMm === null ? null : `leaf ${show.depth(leafMm)}`,
    rootMm === null ? null : `root ${show.depth(rootMm)}`,
    probeFraction === null || probeDepthMm === null
      ? null
      : `probe ${percent(probeFraction)} at ${show.depth(probeDepthMm)}`,
    photo === null ? null : 'a photo',
    note === null ? null : `"${note}"`,
  ]
    .filter((part) => part !== null)
    .join(', ');
}

/** Why looks teach a bed no factors. */
export const NOT_TAUGHT =
  'Its store is one that you stated: looks set what it holds now and teach no factors.';

/** What looks have taught: "store x 0.84, loss x 1.12, 2 looks set aside". */
export function sayLearned(learned: Learned): string {
  const { capacityFraction, exposureFraction, setAside } = learned;
  const aside = setAside === 0 ? '' : `; ${setAside} set aside as drier than could be believed`;
  return `store x ${capacityFraction.toFixed(2)}, loss x ${exposureFraction.toFixed(2)}${aside}`;
}
