import { beliefOf, drawnTruth, seeded } from './looks/truths.ts';
import { type Timing, type TwinResult, twin } from './looks/twin.ts';

const TRUTHS = 24;
const CASES: readonly {
  basis: 'lab_report' | 'class_default';
  timing: Timing;
  flippedFraction: number;
}[] = [
  { basis: 'lab_report', timing: 'chance', flippedFraction: 0 },
  { basis: 'lab_report', timing: 'chance', flippedFraction: 0.2 },
  { basis: 'class_default', timing: 'chance', flippedFraction: 0 },
  { basis: 'class_default', timing: 'chance', flippedFraction: 0.2 },
  { basis: 'lab_report', timing: 'near_the_limit', flippedFraction: 0 },
  { basis: 'lab_report', timing: 'near_the_limit', flippedFraction: 0.2 },
];
/** What the planning model itself misses of the column's time to dry. */
const CLOSE_MIN = 10;

/**
 * Ten looks, three a day, at seeded truths: the mean error of the time to dry after a cycle over the
 * two days that follow, without and with what was learned. Then with a fifth of the looks wrong.
 */
export function benchLooks(print: (text: string) => void): void {
  const truths = Array.from({ length: TRUTHS }, (_, index) => drawnTruth(index + 1));
  for (const { basis, timing, flippedFraction } of CASES) {
    const store = basis === 'lab_report' ? 'whole model' : 'plain store';
    const when = timing === 'chance' ? 'looks when it happens' : 'looks near the expected limit';
    print(`\nplanned with the ${store}, ${when}, ${100 * flippedFraction} % wrong\n`);
    print(
      `${'thought to be, and is'.padEnd(34)} before  after  ratio   store    loss  aside  dark/lightening/dry\n`,
    );
    const results = truths.map((truth, index) => {
      const belief = beliefOf(truth.className, basis);
      const result = twin(truth, belief, { random: seeded(index + 1), flippedFraction, timing });
      print(row(truth.name, result));
      return result;
    });
    print(summary(results));
  }
}

function row(name: string, { beforeMin, afterMin, learned, seen }: TwinResult): string {
  const { capacityFraction, exposureFraction, setAside } = learned;
  const cells = [
    `${beforeMin.toFixed(0)} min`.padStart(7),
    `${afterMin.toFixed(0)} min`.padStart(7),
    (afterMin / beforeMin).toFixed(2).padStart(6),
    capacityFraction.toFixed(2).padStart(7),
    exposureFraction.toFixed(2).padStart(7),
    String(setAside).padStart(6),
  ];
  return `${name.padEnd(34)}${cells.join('')}  ${Object.values(seen).join('/')}\n`;
}

function summary(results: readonly TwinResult[]): string {
  const ratios = results
    .map(({ beforeMin, afterMin }) => afterMin / beforeMin)
    .sort((a, b) => a - b);
  const sum = (pick: (one: TwinResult) => number) =>
    results.reduce((all, one) => all + pick(one), 0);
  const halved = ratios.filter((ratio) => ratio <= 0.5).length;
  const good = results.filter(
    ({ beforeMin, afterMin }) => afterMin <= Math.max(beforeMin / 2, CLOSE_MIN),
  ).length;
  const worse = results.filter(
    ({ beforeMin, afterMin }) => afterMin > Math.max(beforeMin, CLOSE_MIN),
  ).length;
  const mean = (pick: (one: TwinResult) => number) => (sum(pick) / results.length).toFixed(0);
  return [
    `mean error ${mean((one) => one.beforeMin)} to ${mean((one) => one.afterMin)} min, of it thought to last too long ${mean((one) => one.lateBeforeMin)} to ${mean((one) => one.lateAfterMin)}; ratio median ${(ratios[Math.floor(ratios.length / 2)] ?? 0).toFixed(2)}, worst ${(ratios.at(-1) ?? 0).toFixed(2)};`,
    `halved in ${halved} of ${results.length}, halved or within ${CLOSE_MIN} min in ${good}, worse and beyond ${CLOSE_MIN} min in ${worse}\n`,
  ].join(' ');
}
