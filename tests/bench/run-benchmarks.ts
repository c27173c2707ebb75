import { benchLooks } from './looks.ts';
import { benchOptimum } from './optimum.ts';
import { benchPlanning } from './planning.ts';
import { benchProcess } from './process.ts';
import { benchSand } from './sand.ts';
import { benchSeason } from './season.ts';

const print = (text: string) => {
  process.stdout.write(text);
};

/** Every benchmark by name; `npm run bench -- planning` runs one. */
const BENCHMARKS: Record<string, (options: readonly string[]) => void | Promise<void>> = {
  planning: () => benchPlanning(print),
  sand: () => benchSand(print),
  process: () => benchProcess(print),
  optimum: () => benchOptimum(print),
  looks: (options) => benchLooks(print, options),
  season: (options) => benchSeason(print, options),
};

/** Runs the benchmarks named, or all. What follows the names from the first `--` on is theirs. */
export async function runBenchmarks(args: readonly string[]): Promise<void> {
  const from = args.findIndex((arg) => arg.startsWith('--'));
  const names = from === -1 ? args : args.slice(0, from);
  const options = from === -1 ? [] : args.slice(from);
  const wanted = names.length > 0 ? names : Object.keys(BENCHMARKS);
  for (const name of wanted) {
    const benchmark = BENCHMARKS[name];
    if (benchmark === undefined) {
      throw new Error(
        `no such benchmark (got ${name}); there are ${Object.keys(BENCHMARKS).join(', ')}`,
      );
    }
    print(`\n${name}\n`);
    await benchmark(options);
  }
}
