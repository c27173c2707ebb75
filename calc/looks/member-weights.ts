import { countedLooks } from './counted-looks.ts';
import { type EyeKnowledge, eyeOf, type LookedAtBed } from './eye-knowledge.ts';
import { chanceOf, chancesByMember, EYE_FRACTIONS, type MemberLook } from './member-look.ts';
import {
  checkedPrior,
  fadedLogs,
  logsAfter,
  logsByLoss,
  type WeightLogs,
  weightedMean,
  weightsOf,
} from './weight-filter.ts';

/** One look's own doing. */
export interface WeightStep {
  /** The members' weights before and after it. */
  before: readonly number[];
  after: readonly number[];
  /** Chance that the look is right, by what was expected of it. */
  trustFraction: number;
  /** True when it is drier than expected, and more likely wrong than right. */
  isSetAside: boolean;
  /** False where a later look of the same person took its place; it changes nothing then. */
  isCounted: boolean;
}

/**
 * The weights of the members of a bed's sand library after its looks.
 *
 * Bayes' rule: each look multiplies a member's weight by how likely the look is where that member's
 * state was expected, wrong looks reckoned with, by the eye of the person who looked. What was learned
 * fades by 2 % a day; all weights stay above 0 and sum to 1. Looks of one person within twenty minutes
 * count once (`countedLooks`). At a change of the managed depth what was learned of the loss is kept.
 *
 * The eye is the same for all members: its thresholds are weighted by what other beds say of the
 * person. So a look never makes a wetter bed dry: after "dark" the weighted share of members that are
 * dry at that moment is no greater than before, and after "dry" no less. An eye learned together with
 * the members of the same bed can break this; in trials on an invented world it told no more.
 *
 * Source: Gordon, Salmond & Smith 1993, IEE Proc. F 140:107-113 (importance weights); forgetting,
 * Kulhavý & Zarrop 1993, Int. J. Control 58:905-924 (both from memory).
 *
 * @param bed.looks in order of time
 * @param asked.nowMs what was learned fades until then
 * @param asked.managedDepthMm depth that is planned for now
 * @throws RangeError when lists differ in length, a prior weight or loss factor is not above 0, or
 * looks are not in order of time
 */
export function weighLooks(
  bed: LookedAtBed,
  asked: { eyes: EyeKnowledge; nowMs: number; managedDepthMm: number },
): { weights: number[]; steps: WeightStep[] } {
  const prior = checkedPrior(bed.prior);
  checkLengths(bed);
  const counts = countedLooks(bed.looks);
  const eyes = new Map<string, readonly number[]>();
  let logs: WeightLogs = new Float64Array(prior.length);
  let atMs = bed.looks[0]?.atMs ?? asked.nowMs;
  let depthMm = bed.looks[0]?.managedDepthMm ?? asked.managedDepthMm;
  const toMoment = (nextMs: number, nextDepthMm: number) => {
    if (nextDepthMm !== depthMm) logs = logsByLoss(prior, logs, bed.lossFactors);
    logs = fadedLogs(logs, nextMs - atMs);
    [atMs, depthMm] = [nextMs, nextDepthMm];
  };
  const steps = bed.looks.map((look, index): WeightStep => {
    toMoment(look.atMs, look.managedDepthMm);
    const eye = eyes.get(look.who) ?? eyeOf(asked.eyes, look.who, bed.bedId);
    eyes.set(look.who, eye);
    const before = weightsOf(prior, logs);
    const chances = chancesByMember(look, eye);
    const right = weightedMean(
      before,
      chances.map((chance) => chance.rightFraction),
    );
    const all = chances.map(chanceOf);
    const trustFraction = right / weightedMean(before, all);
    const isCounted = counts[index] === true;
    if (isCounted) logs = logsAfter(logs, all);
    return {
      before,
      after: isCounted ? weightsOf(prior, logs) : before,
      trustFraction,
      isSetAside: trustFraction < 0.5 && isDrier(look, before, eye),
      isCounted,
    };
  });
  toMoment(asked.nowMs, asked.managedDepthMm);
  return { weights: weightsOf(prior, logs), steps };
}

function checkLengths({ prior, lossFactors, looks }: LookedAtBed): void {
  const wrong = [lossFactors, ...looks.map(({ leftFractions }) => leftFractions)].find(
    (list) => list.length !== prior.length,
  );
  if (wrong !== undefined) {
    throw new RangeError(
      `weighLooks: each list needs one number for each of ${prior.length} members (got ${wrong.length})`,
    );
  }
  if (!lossFactors.every((factor) => factor > 0 && Number.isFinite(factor))) {
    throw new RangeError(
      `weighLooks: loss factors must be above 0 (got ${lossFactors.join(', ')}); 1 is the sand's own`,
    );
  }
}

/** Whether the bed was seen drier than was expected of it in the mean. */
function isDrier(
  { sight, leftFractions }: MemberLook,
  weights: readonly number[],
  eye: readonly number[],
): boolean {
  const expectedFraction = weightedMean(weights, leftFractions);
  if (sight.kind === 'reading')
    return expectedFraction > weightedMean(weights, sight.readFractions);
  if (sight.surface === 'dark') return false;
  const most = sight.surface === 'dry' ? 0 : weightedMean(eye, EYE_FRACTIONS);
  return expectedFraction > most;
}
