import type { RefusalCode } from '../../../daemon/gate/judge-confirm.ts';
import { manyHistories } from './many-histories.ts';

/** Guards of the gate without which a promise is broken, and the simulation has to see it. */
export const MUTANTS: readonly RefusalCode[] = [
  'digest_outdated',
  'held_since',
  'cautions_missing',
];

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
  for (const withoutGuard of MUTANTS) {
    const mutant = await manyHistories({
      firstSeed,
      histories: 1000,
      withoutGuard,
      stopAtFirst: true,
    });
    const [first] = mutant.failed;
    if (first !== undefined) found += 1;
    lines.push(
      `a gate without ${withoutGuard}: ${first === undefined ? 'NOT FOUND OUT' : `found out by seed ${first.seed}, history ${mutant.histories}: ${first.broken[0]}`}`,
    );
  }
  return { lines, isGood: whole.failed.length === 0 && isSame && found === MUTANTS.length };
}
