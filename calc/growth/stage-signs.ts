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

/** What was seen of the signs that were asked for; null: it was not one of them. */
export interface MetSigns {
  coverFraction: number | null;
  rootMm: number | null;
}

/** What was seen that says a bed is ready for the next stage; null when nothing does. */
export function readySigns(stage: StageName, seen: SeenSigns): MetSigns | null {
  const met = READY[stage]?.find(
    ({ coverFraction, rootMm }) =>
      (coverFraction === undefined || (seen.coverFraction ?? 0) >= coverFraction) &&
      (rootMm === undefined || (seen.rootMm ?? 0) >= rootMm),
  );
  if (met === undefined) return null;
  return {
    coverFraction: met.coverFraction === undefined ? null : seen.coverFraction,
    rootMm: met.rootMm === undefined ? null : seen.rootMm,
  };
}
