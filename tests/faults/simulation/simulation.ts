import type { RefusalCode } from '../../../daemon/site/gate/judge-confirm.ts';
import type { StopMutant } from './history.ts';
import type { LeewayMutant } from './leeway-mutants.ts';
import { manyHistories } from './many-histories.ts';

/** Guards of the gate without which a promise is broken, and the simulation has to see it. */
export const MUTANTS: readonly RefusalCode[] = [
  'digest_outdated',
  'held_since',
  'cautions_missing',
];

/** Stops that do not do what they say. */
export const STOP_MUTANTS: readonly StopMutant[] = [
  'no read-back',
  'stop after the store',
  'exit 0 always',
];

/** Ways to follow a day that do more than a person let the daemon do. */
export const LEEWAY_MUTANTS: readonly LeewayMutant[] = [
  'no check',
  'spares without weather',
  'a spare used twice',
];

/** A mutant has to be found out within so many histories. */
const MOST_TO_FIND = { guard: 1000, stop: 20, leeway: 20 };

/** What a long run prints. */
export interface SimulationReport {
  lines: string[];
  isGood: boolean;
}

/**
 * Many histories with the whole gate, the first of them twice, and then a gate with one guard taken
 * out after the other, which has to be found out.
 */
export async function simulation(asked: {
  histories: number;
  firstSeed: number;
  onHistory?(done: number): void;
}): Promise<SimulationReport> {
  const { histories, firstSeed } = asked;
  const lines: string[] = [];
  const whole = await manyHistories(asked);
  lines.push(
    `${whole.histories} histories from seed ${firstSeed}, ${whole.failed.length} broke a promise`,
  );
  for (const [what, times] of Object.entries(whole.counts).sort())
    lines.push(`  ${what}: ${times}`);
  for (const { seed, broken } of whole.failed.slice(0, 10)) {
    lines.push(`  seed ${seed}:`, ...broken.map((what) => `    ${what}`));
  }
  const again = await manyHistories({ firstSeed, histories: Math.min(20, histories) });
  const isSame = again.hashes.every((hash, index) => hash === whole.hashes[index]);
  lines.push(
    `the first ${again.histories} lived again: ${isSame ? 'the same, byte for byte' : 'OTHERWISE'}`,
  );
  let found = 0;
  const mutants = [
    ...MUTANTS.map((withoutGuard) => ({
      name: `a gate without ${withoutGuard}`,
      asked: { withoutGuard },
      histories: MOST_TO_FIND.guard,
    })),
    ...STOP_MUTANTS.map((stopMutant) => ({
      name: `a stop with ${stopMutant}`,
      asked: { stopMutant },
      histories: MOST_TO_FIND.stop,
    })),
    ...LEEWAY_MUTANTS.map((leewayMutant) => ({
      name: `a day followed with ${leewayMutant}`,
      asked: { leewayMutant },
      histories: MOST_TO_FIND.leeway,
    })),
  ];
  for (const { name, asked: how, histories: most } of mutants) {
    const mutant = await manyHistories({ firstSeed, histories: most, ...how, stopAtFirst: true });
    const [first] = mutant.failed;
    if (first !== undefined) found += 1;
    lines.push(
      `${name}: ${first === undefined ? 'NOT FOUND OUT' : `found out by seed ${first.seed}, history ${mutant.histories}: ${first.broken[0]}`}`,
    );
  }
  return { lines, isGood: whole.failed.length === 0 && isSame && found === mutants.length };
}
