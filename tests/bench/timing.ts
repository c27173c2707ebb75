/** Milliseconds of each of several runs, after one that warms up. */
export function times(runs: number, work: () => void): number[] {
  work();
  return Array.from({ length: runs }, () => {
    const start = performance.now();
    work();
    return performance.now() - start;
  });
}

/** The middle value; of an even count the mean of the two in the middle. */
export function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  const middle = sorted.length / 2;
  const low = sorted[Math.ceil(middle) - 1] ?? Number.NaN;
  const high = sorted[Math.floor(middle)] ?? Number.NaN;
  return (low + high) / 2;
}

/** One line of the benchmark's report: what, measured, aimed at. */
export function line(what: string, measured: string, aim: string): string {
  return `${what.padEnd(52)} ${measured.padStart(14)}   aim ${aim}\n`;
}
