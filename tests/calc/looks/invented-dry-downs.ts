import { type EyeKnowledge, eyeOf, learnEyes } from '../../../calc/looks/eye-knowledge.ts';
import { worthOfLooks } from '../../../calc/looks/look-worth.ts';
import type { MemberLook, TellingSurface } from '../../../calc/looks/member-look.ts';
import { TELLING_SURFACES } from '../../../calc/looks/member-look.ts';
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
export const FILLS_H = [9, 12.5] as const;
const WRONG_FRACTION = 0.2;
export const LIBRARY_MM = 1.2;

/** A bed's response: its store against the nominal one, and its loss. */
export interface Response {
  storeFactor: number;
  lossFactor: number;
}

export interface Truth extends Response {
  eyeFraction: number;
}

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
  return filledFraction - lostMm / (LIBRARY_MM * one.storeFactor);
}

/** Hours from a full store at an hour of the day until dry, or until sunset. */
export function hoursToDry(one: Response, fromH: number): number {
  const wantedMm = (LIBRARY_MM * one.storeFactor) / one.lossFactor;
  const length = SUNSET_H - SUNRISE_H;
  const reach = ((demandToMm(fromH) + wantedMm) * Math.PI) / (PEAK_MM_PER_H * length);
  if (reach >= 2) return SUNSET_H - fromH;
  return SUNRISE_H + (length * Math.acos(1 - reach)) / Math.PI - fromH;
}

const STORES = [0.55, 0.7, 0.85, 1, 1.15, 1.3];
const LOSSES = [0.8, 0.9, 1, 1.12, 1.25, 1.4];
export const LIBRARY: readonly Response[] = STORES.flatMap((storeFactor) =>
  LOSSES.map((lossFactor) => ({ storeFactor, lossFactor })),
);
const squared = (factor: number, spreadLog: number) => (Math.log(factor) / spreadLog) ** 2;
export const PRIOR: readonly number[] = LIBRARY.map(({ storeFactor, lossFactor }) =>
  Math.exp(-0.5 * (squared(storeFactor, 0.3) + squared(lossFactor, 0.2))),
);
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

/** When the keeper looks: where a look is worth most, once after each fill, or by the clock. */
export type Habit = 'worth' | readonly number[];

/**
 * A bed looked at so many times.
 * @returns the looks, with what each member expected
 */
export function looksAt(
  truth: Truth,
  asked: { who: string; looks: number; habit: Habit; eyes: EyeKnowledge; unit: () => number },
): MemberLook[] {
  const { who, habit, eyes, unit } = asked;
  const looks: MemberLook[] = [];
  const weightsNow = (nowMs: number) =>
    weighLooks(
      { bedId: who, prior: PRIOR, lossFactors: LIBRARY.map((one) => one.lossFactor), looks },
      { eyes, nowMs, managedDepthMm: 8 },
    ).weights;
  for (let day = 0; looks.length < asked.looks; day++) {
    const filled = FILLS_H.map(() => 0.92 + 0.08 * unit());
    const hours =
      habit === 'worth'
        ? FILLS_H.map((fill, index) => {
            const until = FILLS_H[index + 1] ?? 18;
            const steps = Math.round((until - fill) * 6) - 1;
            const times = Array.from({ length: steps }, (_, step) => {
              const hour = fill + (step + 1) / 6;
              return {
                atMs: hour * HOUR_MS,
                leftFractions: LIBRARY.map((member) => leftAt(member, hour, 1)),
                hoursToDry: HOURS_TO_DRY,
              };
            });
            const bed = { bedId: who, weights: weightsNow(day * DAY_MS), times };
            const [best] = worthOfLooks([bed], eyeOf(eyes, who));
            return best === undefined ? fill + 2 : best.atMs / HOUR_MS;
          })
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
  return looks;
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

/** How far the time to dry is missed before and after the looks, truth by truth. */
export function missedBeforeAfter(asked: {
  seed: number;
  looks: number;
  habit: Habit;
}): { beforeMin: number; afterMin: number }[] {
  const unit = seeded(asked.seed + 1);
  return drawnTruths(asked.seed, 48).map((truth, index) => {
    const who = `keeper ${index}`;
    const nothing = learnEyes([]);
    const looks = looksAt(truth, {
      who,
      looks: asked.looks,
      habit: asked.habit,
      eyes: nothing,
      unit,
    });
    const { weights } = weighLooks(
      { bedId: who, prior: PRIOR, lossFactors: LIBRARY.map((one) => one.lossFactor), looks },
      { eyes: nothing, nowMs: looks.at(-1)?.atMs ?? 0, managedDepthMm: 8 },
    );
    return { beforeMin: missedMin(PRIOR, truth), afterMin: missedMin(weights, truth) };
  });
}
