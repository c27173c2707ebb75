import type { Cell, CellResult } from './cells.ts';
import type { DayVerdict } from './day-verdicts.ts';

/** A case in a cell, beside the referee's own water in the same case. */
export interface Judged {
  cell: Cell;
  caseName: string;
  isApart: boolean;
  result: CellResult;
  reference: DayVerdict[];
}

/** With a day-ahead forecast and one confirm: dry in the mean and at worst, water at most. */
const AIMS: Record<string, { meanPct: number; worstPct: number; ratio: number }> = {
  'release curve': { meanPct: 1.5, worstPct: 5, ratio: 1.25 },
  porosities: { meanPct: 1.5, worstPct: 5, ratio: 1.45 },
  'class alone': { meanPct: 2, worstPct: 6, ratio: 1.7 },
  'class and looks': { meanPct: 1.5, worstPct: 5, ratio: 1.4 },
};

export const TITLE = line('known', 'forecast, confirmed', [
  'dry %',
  'worst %',
  'thirsty %',
  'water/ref',
  'thirsty',
  'cycles/ref',
  'drained',
  'in band',
  'cases',
]);

/** One cell over its cases; ratios are of the sums over all of them. */
export function cellLine(all: readonly Judged[]): string {
  const [first] = all;
  if (first === undefined) return '';
  const { row, forecast, confirm } = first.cell;
  const figures = figuresOf(all);
  const { meanPct, worst, ratio } = figures;
  const text = line(row.name, `${forecast}, ${confirm.name}`, [
    meanPct.toFixed(2),
    worst.pct.toFixed(1),
    figures.thirstyPct === null ? '-' : figures.thirstyPct.toFixed(2),
    told(ratio),
    told(figures.thirstyRatio),
    told(figures.cycleRatio),
    `${figures.drainedMm.toFixed(1)} mm`,
    figures.bands.told === 0 ? '-' : percent(figures.bands.inside / figures.bands.told),
    String(all.length),
  ]).trimEnd();
  const aim =
    forecast === 'day-ahead' && confirm.name === 'one confirm' ? AIMS[row.name] : undefined;
  const where = `   ${all.length > 1 ? 'worst: ' : ''}${worst.caseName}`;
  if (aim === undefined || all.length === 1) return `${text}${where}\n`;
  const isMet = meanPct <= aim.meanPct && worst.pct <= aim.worstPct && ratio <= aim.ratio;
  const met = `aim ${aim.meanPct} %, ${aim.worstPct} %, ${aim.ratio}: ${isMet ? 'met' : 'NOT met'}`;
  return `${text}${where}; ${met}\n`;
}

/**
 * How often spares of a leeway ran, and on how many of those days the same morning's plan as laid has
 * left the bed dry: on the others they may have been in vain. Empty where both were not judged.
 */
export function sparesLine(cell: Cell, all: readonly Judged[]): string {
  let days = 0;
  let spares = 0;
  let daysWith = 0;
  let daysNeeded = 0;
  for (const { result, caseName } of all.filter((one) => one.cell === cell)) {
    const asLaid = all.find(
      (one) =>
        one.caseName === caseName &&
        one.cell.row === cell.row &&
        one.cell.forecast === cell.forecast &&
        one.cell.confirm.name === 'one confirm',
    );
    if (result.spares === undefined || asLaid === undefined) continue;
    for (const [day, count] of result.spares.entries()) {
      days++;
      spares += count;
      if (count === 0) continue;
      daysWith++;
      if ((asLaid.result.days[day]?.dryMin ?? 0) > 0) daysNeeded++;
    }
  }
  if (days === 0) return '';
  return `${cell.row.name}, ${cell.forecast}: ${spares} spares on ${daysWith} of ${days} days; on ${daysNeeded} of those the plan as laid left the bed dry\n`;
}

/** A bed that the referee waters less often than this hardly needed water. */
const ENOUGH_CYCLES = 5;

/** What a cell came to; `thirstyPct` and `thirstyRatio`: of the cases that needed water. */
export function figuresOf(all: readonly Judged[]) {
  const sumOf = (
    these: readonly Judged[],
    of: 'result' | 'reference',
    pick: (day: DayVerdict) => number,
  ) => these.reduce((total, one) => total + totalOf(one, of, pick), 0);
  const sum = (of: 'result' | 'reference', pick: (day: DayVerdict) => number) =>
    sumOf(all, of, pick);
  const dryPcts = all.map((one) => ({ pct: dryPct(one), caseName: one.caseName }));
  const thirsty = all.filter((one) => totalOf(one, 'reference', cyclesOf) >= ENOUGH_CYCLES);
  const thirstySum = thirsty.reduce((total, one) => total + dryPct(one), 0);
  return {
    thirstyPct: thirsty.length === 0 ? null : thirstySum / thirsty.length,
    meanPct: dryPcts.reduce((total, { pct }) => total + pct, 0) / all.length,
    worst: dryPcts.reduce((worst, one) => (one.pct > worst.pct ? one : worst)),
    ratio: sum('result', netOf) / sum('reference', netOf),
    thirstyRatio: sumOf(thirsty, 'result', netOf) / sumOf(thirsty, 'reference', netOf),
    cycleRatio: sum('result', cyclesOf) / sum('reference', cyclesOf),
    drainedMm: sum('result', (day) => day.drainedMm) / all.length,
    bands: {
      told: all.reduce((total, { result }) => total + result.bands.told, 0),
      inside: all.reduce((total, { result }) => total + result.bands.inside, 0),
    },
  };
}

function netOf(day: DayVerdict): number {
  return day.netMm;
}

function cyclesOf(day: DayVerdict): number {
  return day.cycles;
}

function totalOf(one: Judged, of: 'result' | 'reference', pick: (day: DayVerdict) => number) {
  const days = of === 'result' ? one.result.days : one.reference;
  return days.slice(one.cell.row.fromDay).reduce((total, day) => total + pick(day), 0);
}

function dryPct(one: Judged): number {
  const total = (pick: (day: DayVerdict) => number) => totalOf(one, 'result', pick);
  return (100 * total((day) => day.dryMin)) / total((day) => day.daylightMin);
}

/** Against nothing there is no ratio. */
function told(ratio: number): string {
  return Number.isFinite(ratio) ? ratio.toFixed(2) : '-';
}

function percent(fraction: number): string {
  return `${(100 * fraction).toFixed(0)} %`;
}

function line(known: string, column: string, fields: readonly string[]): string {
  return `${known.padEnd(17)}${column.padEnd(26)}${fields.map((field) => field.padStart(11)).join('')}\n`;
}
