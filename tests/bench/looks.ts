import type { SandBasis } from '../../calc/sand/seedbed-store.ts';
import { beliefOf, drawnTruth, seeded } from './looks/truths.ts';
import { type TwinResult, twin } from './looks/twin.ts';

const TRUTHS = 32;
const BASES: readonly SandBasis[] = ['lab_report', 'class_default'];

/** Ten looks at seeded truths: how much better the time to dry is known, and with wrong looks. */
export function benchLooks(print: (text: string) => void): void {
  const truths = Array.from({ length: TRUTHS }, (_, index) => drawnTruth(index + 1));
  for (const basis of BASES) {
    for (const flippedFraction of [0, 0.2]) {
      print(
        `\nplanned with the ${basis === 'lab_report' ? 'whole model' : 'plain store'} of the class, ${100 * flippedFraction} % of the looks wrong\n`,
      );
      print(`${'truth'.padEnd(42)} before  after  ratio  capacity  exposure  set aside\n`);
      const results = truths.map((truth, index) => {
        const belief = beliefOf(truth.className, basis);
        const result = twin(truth, belief, { random: seeded(index + 1), flippedFraction });
        print(row(truth.name, result));
        return result;
      });
      print(summary(results));
    }
  }
}

function row(name: string, { beforeMin, afterMin, learned, seen }: TwinResult): string {
  const ratio = (afterMin / beforeMin).toFixed(2);
  return `${name.padEnd(42)} ${beforeMin.toFixed(0).padStart(6)} ${afterMin.toFixed(0).padStart(6)} ${ratio.padStart(6)} ${learned.capacityFraction.toFixed(2).padStart(9)} ${learned.exposureFraction.toFixed(2).padStart(9)} ${String(learned.setAside).padStart(10)} ${Object.values(seen).join('/')}\n`;
}

function summary(results: readonly TwinResult[]): string {
  const ratios = results
    .map(({ beforeMin, afterMin }) => afterMin / beforeMin)
    .sort((a, b) => a - b);
  const sum = (pick: (one: TwinResult) => number) =>
    results.reduce((all, one) => all + pick(one), 0);
  const halved = ratios.filter((ratio) => ratio <= 0.5).length;
  return `median ratio ${(ratios[Math.floor(ratios.length / 2)] ?? 0).toFixed(2)}, worst ${(ratios.at(-1) ?? 0).toFixed(2)}, mean error ${(sum((one) => one.beforeMin) / results.length).toFixed(0)} to ${(sum((one) => one.afterMin) / results.length).toFixed(0)} min; halved in ${halved} of ${results.length}\n`;
}
