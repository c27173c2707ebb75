import { fileURLToPath } from 'node:url';
import { seeded } from '../../seeded.ts';
import { makePrivateTree, type PrivateTree } from './private-tree.ts';
import { changedText, placesOfCalc } from './read-sources.ts';
import { readImports, testsOf } from './tests-of.ts';

const ROOT = fileURLToPath(new URL('../../..', import.meta.url)).replace(/\/$/, '');
/** Noticed of a sample, at least. */
const LEAST_FRACTION = 0.8;
/** Before a change counts as one that never ends: generous, on a busy machine a slow test is none. */
const START_MS = 30_000;
const TIMES_SLOWER = 3;
/** Of tests that are not a file's own, by the time that they usually take. */
const OTHERS_MS = 40_000;

/**
 * Changes calc in small ways, picked evenly among all places by a seed, and says of each whether
 * the tests of calc notice it. True where enough are noticed.
 */
export async function isCalcNoticed(asked: { sample: number; seed: number }): Promise<boolean> {
  const places = placesOfCalc(ROOT);
  const imports = readImports(ROOT);
  const tree = makePrivateTree(ROOT);
  const say = (text: string) => process.stdout.write(`${text}\n`);
  say(`\n== calc: ${places.length} places, ${asked.sample} picked with seed ${asked.seed}`);
  try {
    const tookMs = await unchanged(tree, imports);
    const lived: string[] = [];
    for (const { file, line, changes, draw } of pick(places, asked)) {
      const change = changes[Math.floor(draw * changes.length)];
      if (change === undefined) continue;
      const { text, said } = changedText(ROOT, file, change);
      const tests = testsOf(file, imports, { tookMs, othersMs: OTHERS_MS });
      const where = `${file}:${line}  ${said}`;
      if (tests.length === 0) {
        lived.push(where);
        say(`lived    ${where}  (no test of calc reaches it)`);
        continue;
      }
      const usualMs = tests.reduce((sum, test) => sum + (tookMs.get(test) ?? 0), 0);
      tree.write(file, text);
      const run = await tree.test(tests, START_MS + TIMES_SLOWER * usualMs);
      tree.restore(file);
      if (run.outcome === 'green') lived.push(where);
      say(`${SAID[run.outcome]}  ${where}${run.noticedBy === null ? '' : `  (${run.noticedBy})`}`);
    }
    const noticed = asked.sample - lived.length;
    say(`\n${noticed} of ${asked.sample} noticed; lived with:`);
    for (const where of lived) say(`  ${where}`);
    return noticed >= LEAST_FRACTION * asked.sample;
  } finally {
    tree.remove();
  }
}

const SAID = { green: 'lived  ', red: 'noticed', late: 'no end ' } as const;

/** How long each file of tests takes where nothing is changed; then all of them have to be green. */
async function unchanged(tree: PrivateTree, imports: ReturnType<typeof readImports>) {
  const tests = [...imports.keys()].filter((file) => /^tests\/calc\/.*\.test\.ts$/.test(file));
  const run = await tree.test(tests, 30 * 60_000);
  if (run.outcome === 'green') return run.tookMs;
  throw new Error(`the tests fail without any change (${run.noticedBy ?? run.outcome})`);
}

/** A sample without repeats, each with a number from 0 to 1 to choose one of its changes by. */
function pick<T>(from: readonly T[], asked: { sample: number; seed: number }) {
  const next = seeded(asked.seed);
  const left = [...from];
  return Array.from({ length: Math.min(asked.sample, left.length) }, () => {
    const [taken] = left.splice(Math.floor(next() * left.length), 1);
    return { ...(taken as T), draw: next() };
  });
}
