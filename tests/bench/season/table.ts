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
  'used/ref',
  'cycles/ref',
]);

/** Mean over the cases, what was aimed at, and whether it is reached. */
const AIMS: Record<string, { dryPct: number; ratio: number }> = {
  perfect: { dryPct: 0.5, ratio: 1.15 },
  persistence: { dryPct: 1.5, ratio: 1.35 },
  'every quarter': { dryPct: 1.5, ratio: 1.35 },
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
    ratio(verdict.netMm, reference.verdict.netMm),
    ratio(usedMm(outcome), usedMm(reference)),
    ratio(cycles, reference.cycles),
  ]);
  return note === '' ? line : `${line.trimEnd()}   ${note}\n`;
}

/**
 * The means over the cases. The ratios are of the sums; beside them stands the mean of the cases'
 * own ratios, of those in which the reference gave enough for a ratio to mean something.
 */
export function meanLines(all: readonly Named[]): string[] {
  const names = [...new Set(all.map((one) => one.name))];
  const cases = all.length / Math.max(1, names.length);
  const lines = [`\nmeans over ${cases} cases\n`, TITLE];
  for (const name of names)
    lines.push(
      meanLine(
        name,
        all.filter((one) => one.name === name),
      ),
    );
  return lines;
}

function meanLine(name: string, own: readonly Named[]): string {
  const sum = (pick: (one: Named) => number, of = own) =>
    of.reduce((total, one) => total + pick(one), 0);
  const mean = (pick: (one: Named) => number, of = own) => sum(pick, of) / Math.max(1, of.length);
  const water = (one: Named) => one.outcome.verdict.netMm;
  const referenceWater = (one: Named) => one.reference.verdict.netMm;
  const dry = mean((one) => dryPct(one.outcome));
  const waterRatio = sum(water) / sum(referenceWater);
  const cycleRatio = sum((one) => one.outcome.cycles) / sum((one) => one.reference.cycles);
  const thirsty = own.filter((one) => one.reference.cycles >= ENOUGH_CYCLES);
  const ratios = [
    mean((one) => water(one) / referenceWater(one), thirsty),
    mean((one) => one.outcome.cycles / one.reference.cycles, thirsty),
  ];
  const line = row([
    name,
    dry.toFixed(2),
    (sum(water) / sum((one) => one.outcome.verdict.lossMm)).toFixed(2),
    mean((one) => one.outcome.cycles / WINDOW_DAYS).toFixed(1),
    mean((one) => one.outcome.cycles).toFixed(1),
    `${mean((one) => one.outcome.verdict.drainedMm).toFixed(1)} mm`,
    `${mean((one) => one.outcome.verdict.pondedMin).toFixed(0)} min`,
    waterRatio.toFixed(2),
    (sum((one) => usedMm(one.outcome)) / sum((one) => usedMm(one.reference))).toFixed(2),
    cycleRatio.toFixed(2),
  ]).trimEnd();
  const apart = `   ${thirsty.length} thirsty cases: ${ratios.map((one) => one.toFixed(2)).join(', ')}`;
  const worst = `; worst ${Math.max(...own.map((one) => dryPct(one.outcome))).toFixed(1)} % dry`;
  const aim = AIMS[name];
  if (aim === undefined) return `${line}${apart}${worst}\n`;
  const met =
    dry <= aim.dryPct && [waterRatio, cycleRatio, ...ratios].every((one) => one <= aim.ratio);
  return `${line}${apart}${worst}; aim ${aim.dryPct} %, ${aim.ratio}: ${met ? 'met' : 'NOT met'}\n`;
}

/** A bed that the reference waters less often than this hardly needed water. */
const ENOUGH_CYCLES = 5;

/** What left the sand: net water less what the window leaves in it for the days after. */
function usedMm({ verdict }: Outcome): number {
  return verdict.evaporatedMm + verdict.drainedMm + verdict.runoffMm;
}

function dryPct({ verdict }: Outcome): number {
  return (100 * verdict.dryMin) / verdict.daylightMin;
}

/** Against nothing there is no ratio. */
function ratio(value: number, reference: number): string {
  return reference > 0 ? (value / reference).toFixed(2) : '-';
}

function row(fields: readonly string[]): string {
  const [name = '', ...rest] = fields;
  return `${name.padEnd(14)}${rest.map((field) => field.padStart(11)).join('')}\n`;
}
