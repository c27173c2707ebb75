import { planDay } from '../../calc/schedule/plan-day.ts';
import { flowLevels, spreadOf } from '../flow-levels.ts';
import { bigSite, identicalBeds } from './big-site.ts';
import { onAssumedSands, onReportedSands, overFutures } from './modelled-sands.ts';
import { line, median, times } from './timing.ts';

const SIZES = [18, 60, 180, 500, 1000];

/** How long a day's plan takes, and how that grows with the beds. */
export function benchPlanning(print: (text: string) => void): void {
  const start = performance.now();
  planDay(overFutures(18));
  const first = performance.now() - start;
  print(line(sizeText(18, 'first in the process'), ms(first), '400 ms'));
  const measured = SIZES.map((beds) => {
    const input = overFutures(beds);
    const runs = beds > 200 ? 1 : 7;
    return { beds, runs, took: median(times(runs, () => planDay(input))) };
  });
  const took = (beds: number) => measured.find((one) => one.beds === beds)?.took ?? Number.NaN;
  for (const [what, input] of [
    ['stated figures', bigSite(18)],
    ['all fits', identicalBeds(18)],
    ['lab-report sands', onReportedSands(18)],
    ['assumed sands, weather known', onAssumedSands(18)],
  ] as const) {
    const one = median(times(7, () => planDay(input)));
    print(line(sizeText(18, what), ms(one), '400 ms'));
  }
  // A bed of the sites below is short, so that what would help is planned as well.
  for (const { beds, runs, took } of measured) {
    const aim = beds === 18 ? '400 ms' : beds === 1000 ? '20000 ms' : '';
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
