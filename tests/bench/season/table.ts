import type { Outcome } from './contenders.ts';
import { WINDOW_DAYS } from './windows.ts';

/** A way of watering in one case, with the closed-loop reference of the same case. */
export interface Named {
  name: string;
  outcome: Outcome;
  reference: Outcome;
}

export const TITLE = row([
  '',
  'dry %',
  'net/loss',
  'cycles/d',
  'cycles',
  'drained',
  'ponded',
  'water/ref',
  'cycles/ref',
]);

/** Mean over the cases, what was aimed at, and whether it is reached. */
const AIMS: Record<string, { dryPct: number; ratio: number }> = {
  perfect: { dryPct: 0.5, ratio: 1.15 },
  persistence: { dryPct: 1.5, ratio: 1.35 },
};

/** One way of watering in one case. */
export function rowLine({ name, outcome, reference }: Named): string {
  const { verdict, cycles, note } = outcome;
  const line = row([
    name,
    dryPct(outcome).toFixed(2),
    (verdict.netMm / verdict.lossMm).toFixed(2),
    (cycles / WINDOW_DAYS).toFixed(1),
    String(cycles),
    `${verdict.drainedMm.toFixed(1)} mm`,
    `${verdict.pondedMin.toFixed(0)} min`,
    ratio(verdict.netMm, reference.verdict.netMm).toFixed(2),
    ratio(cycles, reference.cycles).toFixed(2),
  ]);
  return note === '' ? line : `${line.trimEnd()}   ${note}\n`;
}

/** The means over the cases: of the ratios, and the ratio of the sums. */
export function meanLines(all: readonly Named[]): string[] {
  const names = [...new Set(all.map((one) => one.name))];
  const cases = all.length / Math.max(1, names.length);
  const lines = [`\nmeans over ${cases} cases\n`, TITLE];
  for (const name of names) {
    const own = all.filter((one) => one.name === name);
    const mean = (pick: (one: Named) => number) =>
      own.reduce((sum, one) => sum + pick(one), 0) / own.length;
    const dry = mean((one) => dryPct(one.outcome));
    const water = mean((one) => ratio(one.outcome.verdict.netMm, one.reference.verdict.netMm));
    const cycles = mean((one) => ratio(one.outcome.cycles, one.reference.cycles));
    const line = row([
      name,
      dry.toFixed(2),
      mean((one) => one.outcome.verdict.netMm / one.outcome.verdict.lossMm).toFixed(2),
      mean((one) => one.outcome.cycles / WINDOW_DAYS).toFixed(1),
      mean((one) => one.outcome.cycles).toFixed(1),
      `${mean((one) => one.outcome.verdict.drainedMm).toFixed(1)} mm`,
      `${mean((one) => one.outcome.verdict.pondedMin).toFixed(0)} min`,
      water.toFixed(2),
      cycles.toFixed(2),
    ]);
    const aim = AIMS[name];
    const worst = Math.max(...own.map((one) => dryPct(one.outcome))).toFixed(1);
    const said =
      aim === undefined
        ? ''
        : `   aim ${aim.dryPct} %, ${aim.ratio}; worst case ${worst} % dry${dry <= aim.dryPct && water <= aim.ratio && cycles <= aim.ratio ? ': met' : ': NOT met'}`;
    lines.push(`${line.trimEnd()}${said}\n`);
  }
  return lines;
}

function dryPct({ verdict }: Outcome): number {
  return (100 * verdict.dryMin) / verdict.daylightMin;
}

/** Against nothing there is no ratio: a case without need counts as met when nothing was given. */
function ratio(value: number, reference: number): number {
  if (reference > 0) return value / reference;
  return value > 0 ? value + 1 : 1;
}

function row(fields: readonly string[]): string {
  const [name = '', ...rest] = fields;
  return `${name.padEnd(13)}${rest.map((field) => field.padStart(11)).join('')}\n`;
}
