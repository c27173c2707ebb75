import { type LookedAtBed, learnEyes } from '../../../calc/looks/eye-knowledge.ts';
import { worthOfLooks } from '../../../calc/looks/look-worth.ts';
import {
  type MemberLook,
  TELLING_SURFACES,
  type TellingSurface,
  UNKNOWN_EYE,
} from '../../../calc/looks/member-look.ts';
import { weighLooks } from '../../../calc/looks/member-weights.ts';
import { seeded } from '../../seeded.ts';

/*
 * An invented world, as plain as can be: linear stores that are filled at set hours and emptied by a
 * half sine of demand. Nothing in it is measured. Truths lie off the grid of the members, their fills
 * fall short of full, and a fifth of what their keepers tell is wrong.
 */

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const PEAK_MM_PER_H = 0.6;
const SUNRISE_H = 6;
const SUNSET_H = 20;
/** Hours of the day at which the store is filled; the time to dry is asked from the second on. */
const FILLS_H = [9, 12.5] as const;
const WRONG_FRACTION = 0.2;
const NOMINAL_MM = 1.2;

/** A bed's response: its store against the nominal one, and its loss. */
interface Response {
  storeFactor: number;
  lossFactor: number;
}

export interface Truth extends Response {
  eyeFraction: number;
}

/** How well the beds are kept: refilled when the nominal one is dry, or well before. */
const KEPT_WET_FRACTION = 0.75;

/** Demand from sunrise to an hour of the day, mm. */
function demandToMm(hour: number): number {
  const length = SUNSET_H - SUNRISE_H;
  const since = Math.min(length, Math.max(0, hour - SUNRISE_H));
  return ((PEAK_MM_PER_H * length) / Math.PI) * (1 - Math.cos((Math.PI * since) / length));
}

function fillBefore(hour: number): number {
  return FILLS_H.findLast((fill) => fill <= hour) ?? FILLS_H[0];
}

function leftAt(one: Response, hour: number, filledFraction: number): number {
  const lostMm = one.lossFactor * (demandToMm(hour) - demandToMm(fillBefore(hour)));
  return filledFraction - lostMm / (NOMINAL_MM * one.storeFactor);
}

/** Hours from a full store at an hour of the day until dry, or until sunset. */
function hoursToDry(one: Response, fromH: number): number {
  const wantedMm = (NOMINAL_MM * one.storeFactor) / one.lossFactor;
  const length = SUNSET_H - SUNRISE_H;
  const reach = ((demandToMm(fromH) + wantedMm) * Math.PI) / (PEAK_MM_PER_H * length);
  if (reach >= 2) return SUNSET_H - fromH;
  return SUNRISE_H + (length * Math.acos(1 - reach)) / Math.PI - fromH;
}

const STORES = [0.55, 0.7, 0.85, 1, 1.15, 1.3];
const LOSSES = [0.8, 0.9, 1, 1.12, 1.25, 1.4];
const LIBRARY: readonly Response[] = STORES.flatMap((storeFactor) =>
  LOSSES.map((lossFactor) => ({ storeFactor, lossFactor })),
);
const squared = (factor: number, spreadLog: number) => (Math.log(factor) / spreadLog) ** 2;
export const PRIOR: readonly number[] = LIBRARY.map(({ storeFactor, lossFactor }) =>
  Math.exp(-0.5 * (squared(storeFactor, 0.3) + squared(lossFactor, 0.2))),
);
const LOSS_FACTORS = LIBRARY.map(({ lossFactor }) => lossFactor);
const NOBODY = { eyes: learnEyes([]), managedDepthMm: 8 };
const LAST_LOOK_H = 18;
const HOURS_TO_DRY = LIBRARY.map((member) => hoursToDry(member, FILLS_H[1]));

export function drawnTruths(seed: number, many: number): Truth[] {
  const unit = seeded(seed);
  return Array.from({ length: many }, () => ({
    storeFactor: 0.6 + 0.7 * unit(),
    lossFactor: 0.85 + 0.45 * unit(),
    eyeFraction: 0.15 + 0.3 * unit(),
  }));
}

function told(left: number, eyeFraction: number, unit: () => number): TellingSurface {
  const right = left > eyeFraction ? 'dark' : left > 0 ? 'lightening' : 'dry';
  const [isWrong, which] = [unit() < WRONG_FRACTION, unit()];
  const others = TELLING_SURFACES.filter((surface) => surface !== right);
  return isWrong ? (others[Math.floor(which * others.length)] ?? right) : right;
}

/**
 * When the keeper looks: where a look is worth most, once after each fill; the same on beds that are
 * refilled before the nominal one is dry; or by the clock.
 */
export type Habit = 'worth' | 'worth, kept wet' | readonly number[];

/** The look that is worth most after each fill. */
function bestHours(
  weights: readonly number[],
  eye: readonly number[],
  isKeptWet: boolean,
): number[] {
  return FILLS_H.map((fill, index) => {
    const nominalH = KEPT_WET_FRACTION * hoursToDry({ storeFactor: 1, lossFactor: 1 }, fill);
    const until = isKeptWet ? fill + nominalH : (FILLS_H[index + 1] ?? LAST_LOOK_H);
    const times = Array.from({ length: Math.round((until - fill) * 6) - 1 }, (_, step) => {
      const hour = fill + (step + 1) / 6;
      const leftFractions = LIBRARY.map((member) => leftAt(member, hour, 1));
      return { atMs: hour * HOUR_MS, leftFractions, hoursToDry: HOURS_TO_DRY };
    });
    const [best] = worthOfLooks([{ bedId: 'any', weights, times }], eye);
    if (best === undefined) throw new Error('no look is worth anything in this world');
    return best.atMs / HOUR_MS;
  });
}

/** A bed that a keeper has looked at so many times, with what each member of its library expected. */
export function lookedAt(
  truth: Truth,
  asked: { bedId: string; who: string; looks: number; habit: Habit; unit: () => number },
): LookedAtBed {
  const { who, habit, unit } = asked;
  const looks: MemberLook[] = [];
  const bed = { bedId: asked.bedId, prior: PRIOR, lossFactors: LOSS_FACTORS, looks };
  for (let day = 0; looks.length < asked.looks; day++) {
    const filled = FILLS_H.map(() => 0.92 + 0.08 * unit());
    const { weights } = weighLooks(bed, { ...NOBODY, nowMs: day * DAY_MS });
    const hours =
      typeof habit === 'string'
        ? bestHours(weights, UNKNOWN_EYE, habit === 'worth, kept wet')
        : habit;
    for (const hour of hours.slice(0, asked.looks - looks.length)) {
      const filledFraction = filled[fillBefore(hour) === FILLS_H[0] ? 0 : 1] ?? 1;
      const surface = told(leftAt(truth, hour, filledFraction), truth.eyeFraction, unit);
      looks.push({
        atMs: day * DAY_MS + hour * HOUR_MS,
        who,
        sight: { kind: 'surface', surface },
        leftFractions: LIBRARY.map((member) => leftAt(member, hour, 1)),
        managedDepthMm: 8,
      });
    }
  }
  return bed;
}

/** Minutes by which the mean time to dry of weighted members misses the truth's. */
export function missedMin(weights: readonly number[], truth: Response): number {
  const sum = weights.reduce((all, one) => all + one, 0);
  const meanH = weights.reduce(
    (all, weight, member) => all + (weight / sum) * (HOURS_TO_DRY[member] ?? 0),
    0,
  );
  return 60 * Math.abs(meanH - hoursToDry(truth, FILLS_H[1]));
}

/** The same after its looks, by what is known of the eyes. */
export function missedAfterMin(bed: LookedAtBed, truth: Response, eyes = NOBODY.eyes): number {
  const nowMs = bed.looks.at(-1)?.atMs ?? 0;
  return missedMin(weighLooks(bed, { ...NOBODY, eyes, nowMs }).weights, truth);
}
