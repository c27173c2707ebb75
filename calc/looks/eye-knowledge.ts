import { countedLooks } from './counted-looks.ts';
import {
  chanceOf,
  chancesByEye,
  EYE_FRACTIONS,
  type MemberLook,
  readOf,
  UNKNOWN_EYE,
} from './member-look.ts';
import {
  checkedPrior,
  fadedLogs,
  logsAfter,
  logsByLoss,
  normalised,
  type WeightLogs,
  weightedMean,
  weightsOf,
} from './weight-filter.ts';

/** A bed's looks, with the library that they are held against. */
export interface LookedAtBed {
  bedId: string;
  /** Weights of the members before any look, and their loss factors. */
  prior: readonly number[];
  lossFactors: readonly number[];
  /** In order of time. */
  looks: readonly MemberLook[];
}

/**
 * What is known of people's eyes: by person, what each bed's looks say of the thresholds, as logs of
 * their likelihood. Kept by bed, so that a bed is never weighed with an eye learned from itself.
 */
export type EyeKnowledge = ReadonlyMap<string, ReadonlyMap<string, readonly number[]>>;

/** The likeliest threshold may stand no further above the least likely one, as a log. */
const WIDEST_LOG = Math.log(1000);

/**
 * What the looks at all beds say of the thresholds of the people's eyes.
 *
 * On each bed a person's looks are weighed once for each threshold, as if that were the eye's; the
 * product of the chances of the looks, over all members by their weights of the moment, is the
 * likelihood of the threshold (the evidence of the filter). Others who look at the same bed count
 * with an unknown eye there. An eye is not forgotten: how far back looks count is for the caller.
 *
 * Source: belief propagation over a person and the beds that share the person's eye, Pearl 1988,
 * Probabilistic Reasoning in Intelligent Systems, ch. 4; the evidence as the product of a filter's
 * predicted chances, Harvey 1989, Forecasting, Structural Time Series Models, sec. 3.4 (both from memory).
 */
export function learnEyes(beds: readonly LookedAtBed[]): EyeKnowledge {
  const known = new Map<string, Map<string, readonly number[]>>();
  for (const bed of beds) {
    const people = new Set(bed.looks.map(({ who }) => who));
    const rows = rowsOf(bed);
    for (const who of people) {
      const logs = EYE_FRACTIONS.map((_, eye) => evidenceLog(bed, rows, { who, eye }));
      const own = known.get(who) ?? new Map<string, readonly number[]>();
      own.set(bed.bedId, logs);
      known.set(who, own);
    }
  }
  return known;
}

/**
 * Weights of the thresholds of a person's eye; an unknown eye where nothing is known.
 *
 * @param beyondBedId a bed whose own looks are left out; null: all count
 */
export function eyeOf(
  known: EyeKnowledge,
  who: string,
  beyondBedId: string | null = null,
): number[] {
  const logs = EYE_FRACTIONS.map(() => 0);
  for (const [bedId, own] of known.get(who) ?? []) {
    if (bedId === beyondBedId) continue;
    own.forEach((log, eye) => {
      logs[eye] = (logs[eye] ?? 0) + log;
    });
  }
  const top = Math.max(...logs);
  const apart = top - Math.min(...logs);
  const power = apart > WIDEST_LOG ? WIDEST_LOG / apart : 1;
  return normalised(
    UNKNOWN_EYE.map((weight, eye) => weight * Math.exp(power * ((logs[eye] ?? 0) - top))),
  );
}

/** A look that counts, with its chances for each member: by each threshold, and by an unknown eye. */
interface Row {
  look: MemberLook;
  byEye: number[][];
  byUnknown: number[];
}

function rowsOf({ looks }: LookedAtBed): Row[] {
  const counts = countedLooks(looks);
  return looks
    .filter((_, index) => counts[index] === true)
    .map((look) => {
      const { sight, leftFractions } = look;
      const table = leftFractions.map((leftFraction, member) =>
        chancesByEye(sight, { leftFraction, readFraction: readOf(look, member) }).map(chanceOf),
      );
      const byEye = EYE_FRACTIONS.map((_, eye) => table.map((chances) => chances[eye] ?? 0));
      const byUnknown = table.map((chances) => weightedMean(UNKNOWN_EYE, chances));
      return { look, byEye, byUnknown };
    });
}

/** Log of the likelihood of all looks at a bed where one person's eye has one threshold. */
function evidenceLog(
  bed: LookedAtBed,
  rows: readonly Row[],
  asked: { who: string; eye: number },
): number {
  const prior = checkedPrior(bed.prior);
  let logs: WeightLogs = new Float64Array(prior.length);
  let before = rows[0]?.look;
  let sumLog = 0;
  for (const { look, byEye, byUnknown } of rows) {
    if (before !== undefined && look.managedDepthMm !== before.managedDepthMm) {
      logs = logsByLoss(prior, logs, bed.lossFactors);
    }
    logs = fadedLogs(logs, look.atMs - (before?.atMs ?? look.atMs));
    before = look;
    const chances = look.who === asked.who ? (byEye[asked.eye] ?? byUnknown) : byUnknown;
    sumLog += Math.log(weightedMean(weightsOf(prior, logs), chances));
    logs = logsAfter(logs, chances);
  }
  return sumLog;
}
