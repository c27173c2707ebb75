import {
  dryingFraction,
  exposedWettedFraction,
  soilEvaporationCoefficient,
  upperCoefficient,
  WET_SOIL_COEFFICIENT,
} from './crop-coefficient.ts';

/** Growth stages of a grow-in, in order. */
export const STAGE_NAMES = [
  'germination',
  'emergence',
  'tillering',
  'first_mow',
  'knitting',
] as const;

export type StageName = (typeof STAGE_NAMES)[number];

/** From a lower to an upper bound of one quantity. */
export type Span = readonly [lower: number, upper: number];

/** How a bed is watered while it stands in a stage. */
export interface Stage {
  name: StageName;
  /** Cycles a day; below 1 is one every few days. */
  cyclesPerDay: Span;
  /** Net depth of one cycle. */
  doseMm: Span;
  /** Depth that the cycles keep moist. */
  depthMm: Span;
  /** Depth that the plan works with, within `depthMm`. */
  managedDepthMm: number;
  /** No single cycle gives more than this. */
  doseCapMm: number;
  /** Part of the ground that green covers; 0 while the bed is bare. */
  coverFraction: number;
  /** Loss of the bare, wet ground against reference ET. */
  wetSoilCoefficient: number;
  /** True while the top few millimetres rule and the eye outranks the probe. */
  beforeEmergence: boolean;
  /** One light rotation at midday against heat belongs to the stage. */
  middaySyringe: boolean;
  /** The part of the day's loss to give, percent, where the stage is watered by loss. */
  percentOfLoss: Span | null;
  /** What a person sees when the bed is ready for the next stage. */
  movesOn: readonly StageSign[];
}

/**
 * A sign on the turf that a bed is ready for the next stage: `cover`, the part of the area that shows
 * green; `roots`, how long they are.
 */
export type StageSign =
  | { code: 'cover'; coverPct: Span }
  | { code: 'roots'; rootMm: Span }
  | {
      code:
        | 'root_tips'
        | 'green_haze'
        | 'half_green'
        | 'holds_colour'
        | 'mowing_height'
        | 'firm'
        | 'resists_tug';
    };

/**
 * Default stages: common practice, no published trial fixes their figures. They are starting points
 * to edit, and every function takes a {@link Stage} and none reads this table. A person moves a bed
 * by the signs, never a date alone.
 *
 * Source: common practice for the figures; FAO-56 (Allen et al. 1998), p. 144, for the coefficient
 * of bare soil that is wetted every day (about 1.1 in place of 1.2).
 */
export const STAGES: Readonly<Record<StageName, Stage>> = {
  germination: {
    name: 'germination',
    cyclesPerDay: [4, 8],
    doseMm: [0.5, 1.5],
    depthMm: [6, 12],
    managedDepthMm: 8,
    doseCapMm: 2,
    coverFraction: 0,
    wetSoilCoefficient: WET_SOIL_COEFFICIENT,
    beforeEmergence: true,
    middaySyringe: false,
    percentOfLoss: null,
    movesOn: [{ code: 'root_tips' }, { code: 'green_haze' }],
  },
  emergence: {
    name: 'emergence',
    cyclesPerDay: [3, 6],
    doseMm: [1, 2],
    depthMm: [12, 25],
    managedDepthMm: 18,
    doseCapMm: 2,
    coverFraction: 0.25,
    wetSoilCoefficient: WET_SOIL_COEFFICIENT,
    beforeEmergence: false,
    middaySyringe: false,
    percentOfLoss: null,
    movesOn: [{ code: 'half_green' }],
  },
  tillering: {
    name: 'tillering',
    cyclesPerDay: [2, 4],
    doseMm: [2, 3],
    depthMm: [25, 50],
    managedDepthMm: 38,
    doseCapMm: 3,
    coverFraction: 0.65,
    wetSoilCoefficient: WET_SOIL_COEFFICIENT,
    beforeEmergence: false,
    middaySyringe: false,
    percentOfLoss: null,
    movesOn: [
      { code: 'cover', coverPct: [80, 90] },
      { code: 'roots', rootMm: [25, 40] },
      { code: 'holds_colour' },
    ],
  },
  first_mow: {
    name: 'first_mow',
    cyclesPerDay: [1, 2],
    doseMm: [3, 5],
    depthMm: [50, 75],
    managedDepthMm: 60,
    doseCapMm: 5,
    coverFraction: 0.85,
    wetSoilCoefficient: WET_SOIL_COEFFICIENT,
    beforeEmergence: false,
    middaySyringe: true,
    percentOfLoss: null,
    movesOn: [{ code: 'mowing_height' }, { code: 'firm' }, { code: 'resists_tug' }],
  },
  knitting: {
    name: 'knitting',
    cyclesPerDay: [0.5, 1],
    doseMm: [4, 8],
    depthMm: [75, 150],
    managedDepthMm: 100,
    doseCapMm: 8,
    coverFraction: 0.93,
    wetSoilCoefficient: WET_SOIL_COEFFICIENT,
    beforeEmergence: false,
    middaySyringe: false,
    percentOfLoss: [75, 100],
    movesOn: [
      { code: 'cover', coverPct: [90, 95] },
      { code: 'roots', rootMm: [75, 100] },
    ],
  },
};

/** The stage after this one, or null at the last: then the bed is handed over. */
export function nextStage(name: StageName): StageName | null {
  return STAGE_NAMES[STAGE_NAMES.indexOf(name) + 1] ?? null;
}

/** The stage before this one, or null at the first. */
export function previousStage(name: StageName): StageName | null {
  return STAGE_NAMES[STAGE_NAMES.indexOf(name) - 1] ?? null;
}

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
interface CoefficientWeather {
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
