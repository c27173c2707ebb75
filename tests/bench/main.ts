import { runBenchmarks } from './run-benchmarks.ts';

await runBenchmarks(process.argv.slice(2));
