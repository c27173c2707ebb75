import type { VanGenuchten } from './retention.ts';
import type { SeedbedLayer, SeedbedModel, SeedbedState } from './seedbed-model.ts';

/** Order of a layer's and of a state's numbers in a packed model. */
const LAYER = [
  'thicknessMm',
  'poreMm',
  'fallMmPerH',
  'fallPower',
  'riseMmPerH',
  'risePower',
] as const satisfies readonly (keyof SeedbedLayer)[];
const STATE = ['seedMm', 'belowMm', 'rootMm'] as const satisfies readonly (keyof SeedbedState)[];
const SAND = [
  'residualFraction',
  'saturatedFraction',
  'alphaPerCm',
  'n',
  'saturatedMmPerH',
] as const satisfies readonly (keyof VanGenuchten)[];

/** A planning model as a row of numbers, so that many of them can be kept as data. */
export function packedModel(model: SeedbedModel): number[] {
  const { seed, below, root, supplyMmPerH, supplyPower, limitMm, full, drained, dry } = model;
  return [
    ...[seed, below, root].flatMap((layer) => LAYER.map((name) => layer[name])),
    supplyMmPerH,
    supplyPower,
    limitMm,
    ...[full, drained, dry].flatMap((state) => STATE.map((name) => state[name])),
  ];
}

/** @throws RangeError when the row has too few or too many numbers. */
export function unpackedModel(row: readonly number[]): SeedbedModel {
  const length = 3 * LAYER.length + 3 + 3 * STATE.length;
  if (row.length !== length) {
    throw new RangeError(
      `unpackedModel: a model has ${length} numbers (got ${row.length}); generate the data anew`,
    );
  }
  const rest = [...row];
  const take = <Name extends string>(names: readonly Name[]) =>
    Object.fromEntries(names.map((name) => [name, rest.shift()])) as Record<Name, number>;
  const [seed, below, root] = [take(LAYER), take(LAYER), take(LAYER)];
  const supply = take(['supplyMmPerH', 'supplyPower', 'limitMm']);
  const [full, drained, dry] = [take(STATE), take(STATE), take(STATE)];
  return { seed, below, root, ...supply, full, drained, dry };
}

/** A sand's curve as a row of numbers. */
export function packedSand(sand: VanGenuchten): number[] {
  return SAND.map((name) => sand[name]);
}

export function unpackedSand(row: readonly number[]): VanGenuchten {
  const entries = SAND.map((name, index) => [name, row[index]]);
  return Object.fromEntries(entries) as Record<(typeof SAND)[number], number>;
}
