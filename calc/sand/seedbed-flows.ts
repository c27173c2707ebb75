import { fitLeastSquares } from './least-squares.ts';
import type { VanGenuchten } from './retention.ts';
import type { Rehearsal } from './seedbed-rehearsal.ts';

/**
 * Order of the model's numbers while they are sought: logarithm of the full fall and its power,
 * logarithm of the full rise and its power, for the seed layer and the layer below it; fall of the
 * root zone; supply to the air.
 */
export const LEAST_VALUES = [-6, 1.2, -8, 1, -6, 1.2, -8, 1, -30, 1.2, -2, 1];
export const GREATEST_VALUES = [16, 12, 22, 14, 16, 12, 22, 14, 20, 25, 22, 12];

const MOST_MOMENTS = 400;
/** Supply that stands for "the air never asked too much" when no run showed the opposite. */
const AMPLE_SUPPLY = [12, 3];

interface Moment {
  filled: number[];
  passMmPerH: number[];
  evaporationMmPerH: number;
  demandMmPerH: number;
}

/** A residual that grows slowly when it is large: no single moment decides. */
function softened(value: number): number {
  return Math.sign(value) * Math.log1p(Math.abs(value));
}

function thinned<T>(all: readonly T[], most: number): T[] {
  const every = Math.ceil(all.length / most);
  return all.filter((_, i) => i % every === 0);
}

/** Flows between the layers at each look, from the column's own water in them. */
function moments(rehearsals: readonly Rehearsal[], poresMm: readonly number[]): Moment[] {
  return rehearsals.flatMap((run) =>
    run.evaporationMmPerH.map((evaporationMmPerH, i) => {
      const spell = run.spells[i];
      const before = run.bandsMm[i] ?? [];
      const after = run.bandsMm[i + 1] ?? [];
      const hours = spell?.hours ?? 1;
      let pass = (spell?.waterMmPerH ?? 0) - evaporationMmPerH;
      const passMmPerH = after.map((mm, layer) => {
        pass -= (mm - (before[layer] ?? 0)) / hours;
        return pass;
      });
      return {
        filled: after.map((mm, layer) => Math.max(1e-6, mm / (poresMm[layer] ?? 1))),
        passMmPerH,
        evaporationMmPerH,
        demandMmPerH: spell?.demandMmPerH ?? 0,
      };
    }),
  );
}

/**
 * A first set of the model's numbers, from the flows that the column itself had between the layers:
 * no simulation, each flow sought on its own. Good enough to begin the fit of the drying times from.
 */
export function firstValues(
  rehearsals: readonly Rehearsal[],
  { poresMm, sand }: { poresMm: readonly number[]; sand: VanGenuchten },
): number[] {
  const all = moments(rehearsals, poresMm);
  const some = thinned(all, MOST_MOMENTS);
  // Far from saturation Mualem's conductivity is Ks m² filled^(l + 2/m).
  const m = 1 - 1 / sand.n;
  const power = (sand.l ?? 0.5) + 2 / m;
  const logFall = Math.log(sand.saturatedMmPerH * m * m);
  const best = (
    residuals: (values: readonly number[]) => number[],
    { starts, at }: { starts: number[][]; at: number },
  ): number[] => {
    const results = starts.map((start) =>
      fitLeastSquares({
        residuals,
        start,
        least: LEAST_VALUES.slice(at, at + start.length),
        greatest: GREATEST_VALUES.slice(at, at + start.length),
        iterations: 80,
        nudgeFraction: 1e-3,
      }),
    );
    results.sort((a, b) => a.cost - b.cost);
    return results[0]?.values ?? [];
  };
  const off = (model: number, seen: number) =>
    softened((model - seen) / (0.05 + 0.15 * Math.abs(seen)));
  const between = (layer: number) =>
    best(
      ([fall = 0, fallPower = 0, rise = 0, risePower = 0]) =>
        some.map(({ filled, passMmPerH }) => {
          const upper = filled[layer] ?? 0;
          const lower = filled[layer + 1] ?? 0;
          const flow =
            Math.exp(fall) * upper ** fallPower +
            Math.exp(rise) * (upper ** risePower - lower ** risePower);
          return off(flow, passMmPerH[layer] ?? 0);
        }),
      {
        starts: [logFall, -4].flatMap((fall) => [2.5, 5].map((rise) => [fall, power, 3, rise])),
        at: layer * 4,
      },
    );
  const out = best(
    ([fall = 0, fallPower = 0]) =>
      some.map(({ filled, passMmPerH }) =>
        off(Math.exp(fall) * (filled[2] ?? 0) ** fallPower, passMmPerH[2] ?? 0),
      ),
    { starts: [logFall, -3].flatMap((fall) => [power, 8].map((p) => [fall, p])), at: 8 },
  );
  const short = all.filter(({ evaporationMmPerH: e, demandMmPerH: d }) => e < 0.97 * d && e > 0.02);
  const supply =
    short.length <= 3
      ? AMPLE_SUPPLY
      : best(
          ([logSupply = 0, supplyPower = 0]) =>
            thinned(short, MOST_MOMENTS).map(({ filled, evaporationMmPerH }) =>
              softened(
                (logSupply + supplyPower * Math.log(filled[0] ?? 1) - Math.log(evaporationMmPerH)) /
                  0.1,
              ),
            ),
          { starts: [[6, 3]], at: 10 },
        );
  return [...between(0), ...between(1), ...out, ...supply];
}
