import { entryOf } from '../checked-entry.ts';
import { modelStore } from '../sand/model-store.ts';
import type { SeedbedModel } from '../sand/seedbed-model.ts';
import type { SeedbedStore } from '../sand/seedbed-store.ts';
import { libraryStore, type SandMember } from './sand-members.ts';

/** A member before its stage is known: a planning model in place of a store. */
export interface ModelMember extends Omit<SandMember, 'store'> {
  model: SeedbedModel;
}

/** Members of a bed's library. */
const MEMBERS = 48;
/**
 * Spread of what a bed loses against what its coefficient says, as the standard deviation of its
 * logarithm: 1.1 of wetted bare soil is known to about a tenth. Assumed.
 */
const LOSS_SPREAD_LOG = 0.1;

/**
 * A library of members from the planning models that a bed's sand may have: each model stands in it
 * several times, with another factor of its loss and another part of the night's loss each time.
 *
 * Factors are the middles of as many equal parts of a log-normal distribution of median 1, the night's
 * parts those of an even one from 0 to 1; both are dealt out over the models by lattice rules, so that
 * no model has only high or only low ones. All weigh the same.
 *
 * @param models the models that the sand may have, all as likely
 * @throws RangeError when there is no model
 */
export function memberSpread(models: readonly SeedbedModel[]): ModelMember[] {
  if (models.length === 0) {
    throw new RangeError('memberSpread: a bed needs a model (got none); give at least one');
  }
  const copies = Math.max(1, Math.round(MEMBERS / models.length));
  const count = models.length * copies;
  const lossStride = strideOf(STRIDES.loss, count);
  const nightStride = strideOf(STRIDES.night, count);
  return Array.from({ length: count }, (_, index) => {
    const loss = (lossStride * index + 1) % count;
    const night = (nightStride * index + 3) % count;
    return {
      model: entryOf(models, Math.floor(index / copies)),
      weightFraction: 1 / count,
      lossFactor: Math.exp(LOSS_SPREAD_LOG * normalQuantile((loss + 0.5) / count)),
      nightFraction: (night + 0.5) / count,
    };
  });
}

/**
 * A few of a library's members, evenly spaced over its list, all of the same weight: for trials over a
 * whole season, where the middle of many days counts and not the edge of one.
 *
 * @throws RangeError when none is asked for
 */
export function fewerMembers(members: readonly ModelMember[], count: number): ModelMember[] {
  if (!(count >= 1)) {
    throw new RangeError(
      `fewerMembers: at least one must stay (got ${count}); give 6, for example`,
    );
  }
  if (members.length <= count) return [...members];
  return Array.from({ length: count }, (_, index) => ({
    ...entryOf(members, Math.floor(((index + 0.5) * members.length) / count)),
    weightFraction: 1 / count,
  }));
}

/**
 * The store of a bed by what its sand may be.
 *
 * @param rootsMm depth that roots reach, mm; 0: only the surface counts
 * @param weights chances of the members in their order, as looks have taught; left out: their own
 * @throws RangeError when there is no member, or not one weight above 0 for each
 */
export function bedStore(
  members: readonly ModelMember[],
  rootsMm = 0,
  weights?: readonly number[],
): SeedbedStore {
  if (weights !== undefined && weights.length !== members.length) {
    throw new RangeError(
      `bedStore: each of ${members.length} members needs a weight (got ${weights.length}); weigh the looks anew`,
    );
  }
  return libraryStore(
    members.map(({ model, ...member }, index) => ({
      ...member,
      weightFraction: weights?.[index] ?? member.weightFraction,
      store: modelStore(model, rootsMm),
    })),
  );
}

const STRIDES = { loss: 29, night: 11 };

/** The next stride that has no divisor in common with the count: each place is met once. */
function strideOf(stride: number, count: number): number {
  const divisor = (a: number, b: number): number => (b === 0 ? a : divisor(b, a % b));
  return divisor(stride, count) === 1 ? stride : strideOf(stride + 1, count);
}

/**
 * Standard normal quantile of a probability between 0 and 1.
 *
 * Source: rational approximation of Hastings 1955, as Abramowitz & Stegun 26.2.23 (error below
 * 4.5e-4; from memory).
 */
export function normalQuantile(probability: number): number {
  const tail = Math.min(probability, 1 - probability);
  const t = Math.sqrt(-2 * Math.log(tail));
  const top = 2.515517 + t * (0.802853 + t * 0.010328);
  const below = 1 + t * (1.432788 + t * (0.189269 + t * 0.001308));
  const z = t - top / below;
  return probability < 0.5 ? -z : z;
}
