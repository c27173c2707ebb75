import type { VanGenuchten } from './hydraulic-properties.ts';
import { sandClassData } from './sand-class-data.ts';
import { type SeedbedModel, unpackedModel, unpackedSand } from './seedbed-model.ts';

/** A sand that may lie behind a class's name, with its planning model. */
export interface ClassMember {
  sand: VanGenuchten;
  model: SeedbedModel;
}

/**
 * Planning models of the named sand classes, as `deriveSeedbedModel` finds them from each class's
 * own bed (seconds of work, so kept as data; `npm run generate:sands` makes them). `missCost` is the
 * fit's own sum of squares over its column runs.
 */
export const sandClassModels: Readonly<Record<string, { model: SeedbedModel; missCost: number }>> =
  Object.fromEntries(
    Object.entries(sandClassData).map(([key, { own }]) => [
      key,
      { model: unpackedModel(own.model), missCost: own.missCost },
    ]),
  );

const members = new Map<string, readonly ClassMember[]>(
  Object.entries(sandClassData).map(([key, data]) => [
    key,
    data.members.map(({ sand, model }) => ({
      sand: unpackedSand(sand),
      model: unpackedModel(model),
    })),
  ]),
);

/**
 * The sands of a class, spread evenly over what it may be, each as likely as the others: what a bed
 * that is known by its class alone may have.
 *
 * @throws RangeError when there is no such class
 */
export function membersOfClass(className: string): readonly ClassMember[] {
  const known = members.get(className);
  if (known === undefined) {
    throw new RangeError(
      `sand: no such class (got ${className}); name one of the config's classes`,
    );
  }
  return known;
}
