import type { StageName } from './stages.ts';

/** Signs of growth as they were last measured on a bed; null: not looked at. */
export interface SeenSigns {
  coverFraction: number | null;
  leafMm: number | null;
  rootMm: number | null;
}

/** Least signs that say a bed is ready for the next stage, all that are named together. */
interface ReadySigns {
  coverFraction?: number;
  rootMm?: number;
}

/**
 * The signs of `STAGES` that a look can measure: the haze of green and the root tip, half of the
 * area, most of it with roots of 25 mm. What makes a bed ready later (firmness, a tug) nobody
 * measures with a rule. Source: common practice, as the stages themselves.
 */
const READY: Readonly<Partial<Record<StageName, readonly ReadySigns[]>>> = {
  germination: [{ coverFraction: 0.05 }, { rootMm: 1 }],
  emergence: [{ coverFraction: 0.5 }],
  tillering: [{ coverFraction: 0.8, rootMm: 25 }],
};

/** What was seen that says a bed is ready for the next stage, in words; null when nothing does. */
export function readySigns(stage: StageName, seen: SeenSigns): string | null {
  const met = READY[stage]?.find(
    ({ coverFraction, rootMm }) =>
      (coverFraction === undefined || (seen.coverFraction ?? 0) >= coverFraction) &&
      (rootMm === undefined || (seen.rootMm ?? 0) >= rootMm),
  );
  if (met === undefined) return null;
  return [
    met.coverFraction === undefined
      ? null
      : `${Math.round(100 * (seen.coverFraction ?? 0))} % of it green`,
    met.rootMm === undefined ? null : `roots of ${Math.round(seen.rootMm ?? 0)} mm`,
  ]
    .filter((part) => part !== null)
    .join(', ');
}
