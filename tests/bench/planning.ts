import { planDay } from '../../calc/schedule/plan-day.ts';
import { flowLevels, spreadOf } from '../flow-levels.ts';
import { bigSite, identicalBeds } from './big-site.ts';
import { onAssumedSands, onReportedSands } from './modelled-sands.ts';
import { line, median, times } from './timing.ts';

const SIZES = [18, 60, 180, 500, 1000];

/** How long a day's plan takes, and how that grows with the beds. */
export function benchPlanning(print: (text: string) => void): void {
  const cold = bigSite(18);
  const start = performance.now();
  planDay(cold);
  print(line(sizeText(18, 'first in the process'), ms(performance.now() - start), '150 ms'));
  const measured = SIZES.map((beds) => {
    const input = bigSite(beds);
    const runs = beds > 200 ? 3 : 15;
    return { beds, runs, took: median(times(runs, () => planDay(input))) };
  });
  const took = (beds: number) => measured.find((one) => one.beds === beds)?.took ?? Number.NaN;
  const fits = identicalBeds(18);
  const fitting = median(times(15, () => planDay(fits)));
  print(line(sizeText(18, 'all fits, median of 15'), ms(fitting), '50 ms'));
  const reported = onReportedSands(18);
  const onReports = median(times(15, () => planDay(reported)));
  print(line(sizeText(18, 'lab-report sands'), ms(onReports), '150 ms'));
  const assumed = onAssumedSands(18);
  const onClasses = median(times(15, () => planDay(assumed)));
  print(line(sizeText(18, 'assumed sands'), ms(onClasses), '150 ms'));
  // A bed of the sites below is short, so that what would help is planned as well.
  for (const { beds, runs, took } of measured) {
    const aim = beds === 18 ? '150 ms' : beds === 1000 ? '5000 ms' : '';
    print(line(sizeText(beds, `median of ${runs}`), ms(took), aim));
  }
  for (const [what, input] of [
    ['18 beds on three sands', bigSite(18)],
    ['18 beds all alike', identicalBeds(18)],
  ] as const) {
    const { withinFraction, variation } = spreadOf(flowLevels(input, planDay(input).runs));
    const within = `${(100 * withinFraction).toFixed(0)} %`;
    print(line(`${what}: quarter hours within 20 % of the mean`, within, ''));
    print(line(`${what}: variation of the flow`, variation.toFixed(2), '0.2'));
  }
  const ratio = (took(180) / took(18)).toFixed(1);
  print(line('180 beds against 18', ratio, '12 at most'));
  print(line('growth: power of the number of beds, fitted', slopeOf(measured).toFixed(2), '1.3'));
}

function sizeText(beds: number, how: string): string {
  return `plan ${beds} beds, ${beds * 4} stations, ${how}`;
}

/** Slope of the straight line through the logarithms, by least squares. */
function slopeOf(points: readonly { beds: number; took: number }[]): number {
  const x = points.map((point) => Math.log(point.beds));
  const y = points.map((point) => Math.log(point.took));
  const mean = (values: readonly number[]) =>
    values.reduce((sum, value) => sum + value, 0) / values.length;
  const meanX = mean(x);
  const meanY = mean(y);
  const across = x.reduce((sum, value, at) => sum + (value - meanX) * ((y[at] ?? 0) - meanY), 0);
  return across / x.reduce((sum, value) => sum + (value - meanX) ** 2, 0);
}

function ms(value: number): string {
  return `${value.toFixed(1)} ms`;
}
