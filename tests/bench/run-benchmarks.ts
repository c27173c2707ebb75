import { benchOptimum } from './optimum.ts';
import { benchPlanning } from './planning.ts';
import { benchProcess } from './process.ts';
import { benchSand } from './sand.ts';

const print = (text: string) => {
  process.stdout.write(text);
};

/** Every benchmark by name; `npm run bench -- planning` runs one. */
const BENCHMARKS: Record<string, () => void | Promise<void>> = {
  planning: () => benchPlanning(print),
  sand: () => benchSand(print),
  process: () => benchProcess(print),
  optimum: () => benchOptimum(print),
};

/** Runs the benchmarks named, or all. */
export async function runBenchmarks(names: readonly string[]): Promise<void> {
  const wanted = names.length > 0 ? names : Object.keys(BENCHMARKS);
  for (const name of wanted) {
    const benchmark = BENCHMARKS[name];
    if (benchmark === undefined) {
      throw new Error(
        `no such benchmark (got ${name}); there are ${Object.keys(BENCHMARKS).join(', ')}`,
      );
    }
    print(`\n${name}\n`);
    await benchmark();
  }
}
