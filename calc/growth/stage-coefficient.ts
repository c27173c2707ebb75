import {
  dryingFraction,
  exposedWettedFraction,
  soilEvaporationCoefficient,
  upperCoefficient,
} from './crop-coefficient.ts';
import type { Stage } from './stages.ts';

/** Height of mown seedlings; the equation hardly feels it. */
const TURF_HEIGHT_M = 0.02;
/**
 * Kcb of a full cover of cool-season turf: 0.90 at 60 to 80 mm, and 0.10 less mown low (FAO-56,
 * Table 17 with note 16).
 */
const FULL_COVER_BASAL = 0.8;
/** REW and TEW of sand, middle of FAO-56 Table 19, mm. */
const SAND_READILY_MM = 4;
const SAND_EVAPORABLE_MM = 9;

/** The day's air, as far as the coefficient feels it. */
export interface CoefficientWeather {
  /** Mean wind at 2 m. */
  windMPerS: number;
  /** Lowest relative humidity of the day. */
  leastHumidityPct: number;
  /** Reference ET of the day, mm. */
  referenceEtMm: number;
}

/**
 * Loss of a bed against the reference in a stage, no unit: what a bed loses that is watered as the
 * stage asks.
 *
 * Bare, it is that of wet soil. With cover it is the dual coefficient: transpiration in proportion
 * to cover, and evaporation from the bare part, which dries by as much as the bed loses from one
 * cycle to the next and is taken at half of that. Watered several times a day the bare part stays
 * wet; watered every other night it does not.
 *
 * Inputs: a stage; wind, 0 to 120 m/s; humidity, 0 to 100 %; reference ET from 0. Throws RangeError
 * outside. Source: FAO-56 (Allen et al. 1998), Eq. 71, 72, 74 and 75, Tables 17 and 19, p. 144; the
 * half-way drying is our own simplification.
 */
export function stageCoefficient(stage: Stage, weather: CoefficientWeather): number {
  if (stage.coverFraction === 0) return stage.wetSoilCoefficient;
  const basalCoefficient = FULL_COVER_BASAL * stage.coverFraction;
  const most = upperCoefficient({
    ...weather,
    heightM: TURF_HEIGHT_M,
    basalCoefficient,
    wetSoilCoefficient: stage.wetSoilCoefficient,
  });
  const [leastCycles, mostCycles] = stage.cyclesPerDay;
  const daysBetween = 2 / (leastCycles + mostCycles);
  const lostBetweenMm = Math.max(0, weather.referenceEtMm) * most * daysBetween;
  const drying = dryingFraction({
    readilyMm: SAND_READILY_MM,
    evaporableMm: SAND_EVAPORABLE_MM,
    depletionMm: Math.min(SAND_EVAPORABLE_MM, lostBetweenMm / 2),
  });
  return (
    basalCoefficient +
    soilEvaporationCoefficient({
      basalCoefficient,
      upperCoefficient: most,
      exposedWettedFraction: exposedWettedFraction({ coverFraction: stage.coverFraction }),
      dryingFraction: drying,
    })
  );
}
