import { planDay } from '../../calc/schedule/plan-day.ts';
import { bigSite } from './big-site.ts';
import { line, median, times } from './timing.ts';

/** How long a day's plan takes, and how that grows with the beds. */
export function benchPlanning(print: (text: string) => void): void {
  const cold = bigSite(18);
  const start = performance.now();
  planDay(cold);
  print(
    line(
      'plan 18 beds, 72 stations, first in the process',
      ms(performance.now() - start),
      '150 ms',
    ),
  );
  const small = median(times(15, () => planDay(cold)));
  print(line('plan 18 beds, 72 stations, median of 15', ms(small), '150 ms'));
  const large = bigSite(180);
  const big = median(times(5, () => planDay(large)));
  print(line('plan 180 beds, 720 stations, median of 5', ms(big), '12 x 18 beds'));
  print(line('ratio 180 to 18 beds', (big / small).toFixed(1), '12 at most'));
}

function ms(value: number): string {
  return `${value.toFixed(1)} ms`;
}
