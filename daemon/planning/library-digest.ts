import { createHash } from 'node:crypto';
import type { ModelMember } from '../../calc/futures/member-spread.ts';
import type { SeedbedModel } from '../../calc/sand/seedbed-model.ts';

const DIGITS = 16;

/**
 * Tells one library of members from another: what a look was held against is of one library alone. A
 * digest of the members' models, weights and factors, in their order.
 */
export function libraryDigest(members: readonly ModelMember[]): string {
  const made = members.map(({ model, ...member }) => ({ ...member, model: modelDigest(model) }));
  return digestOf(made);
}

/** A model's is worked out once: many members share it, and every plan asks. */
const known = new WeakMap<SeedbedModel, string>();

function modelDigest(model: SeedbedModel): string {
  const digest = known.get(model) ?? digestOf(model);
  known.set(model, digest);
  return digest;
}

function digestOf(made: unknown): string {
  return createHash('sha256').update(JSON.stringify(made)).digest('hex').slice(0, DIGITS);
}
