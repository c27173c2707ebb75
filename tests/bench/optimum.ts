import { firstCome } from '../first-come.ts';
import { plannedCycles, TIGHTNESS } from '../optimum-case.ts';
import {
  type Comparison,
  comparison,
  solvedCases,
  tightComparison,
} from '../optimum-comparison.ts';

const CASES = 220;
const LIMIT_S = 60;
/** Days on which supply is short take long to prove. */
const TIGHT_CASES = 24;
const TIGHT_LIMIT_S = 20;

/** The planner and its control against the proved optimum, over many invented small days. */
export async function benchOptimum(print: (text: string) => void): Promise<void> {
  const start = performance.now();
  const seeds = Array.from({ length: CASES }, (_, index) => index + 1);
  const solved = await solvedCases(seeds, LIMIT_S);
  const planner = comparison(solved, plannedCycles);
  const control = comparison(solved, firstCome);
  const seconds = ((performance.now() - start) / 1000).toFixed(0);
  print(`${CASES} cases, ${planner.proved} proved optimal, solved in ${seconds} s\n`);
  print(`${planner.feasible} of them have a plan without a minute below the reserve\n\n`);
  print(row('', 'planner', 'first come', 'aim'));
  const both = (what: string, of: (one: Comparison) => string, aim: string) =>
    print(row(what, of(planner), of(control), aim));
  both('short although it need not be, cases', (one) => `${one.lost.length}`, '0');
  both('minutes above the optimum, mean', (one) => one.excessMin.mean.toFixed(1), '');
  both('minutes above the optimum, worst', (one) => one.excessMin.worst.toFixed(0), '');
  both('cycles above the optimum, mean', (one) => pct(one.cyclesFraction.mean), '5 % at most');
  both('cycles above the optimum, worst', (one) => pct(one.cyclesFraction.worst), '');
  both('water above the optimum, mean', (one) => pct(one.waterFraction.mean), '2 % at most');
  both('water above the optimum, worst', (one) => pct(one.waterFraction.worst), '');
  await benchTight(print);
}

/** Days on which supply is short or water ends early: dry minutes against the least there can be. */
async function benchTight(print: (text: string) => void): Promise<void> {
  const seeds = Array.from({ length: TIGHT_CASES }, (_, index) => 301 + index);
  for (const tightness of TIGHTNESS.filter((one) => one !== 'by_chance')) {
    const found = await tightComparison(seeds, TIGHT_LIMIT_S, tightness, plannedCycles);
    print(`\n${tightness}: ${found.cases} cases, ${found.short} of them short\n`);
    for (const [what, one] of [
      ['dry minutes of all beds', found.allBeds],
      ['dry minutes of the driest bed', found.worstBed],
    ] as const) {
      print(
        `  ${what}: optimum ${one.optimumMin} (${one.proved} proved), planner ${one.plannerMin}, at worst ${one.worstExcessMin} above\n`,
      );
    }
  }
}

function row(what: string, planner: string, control: string, aim: string): string {
  return `${what.padEnd(40)} ${planner.padStart(10)} ${control.padStart(12)}   ${aim}\n`;
}

function pct(fraction: number): string {
  return `${(100 * fraction).toFixed(2)} %`;
}
