import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { bedStore, memberSpread } from '../../../calc/futures/member-spread.ts';
import { type VanGenuchten, vanGenuchtenMualem } from '../../../calc/sand/hydraulic-properties.ts';
import { drawnOfClass } from '../../../calc/sand/possible-sands.ts';
import type { SandReport } from '../../../calc/sand/retention-curves.ts';
import { type SandClass, sandClass } from '../../../calc/sand/sand-classes.ts';
import { SEED_LAYER_MM } from '../../../calc/sand/seedbed-store.ts';
import type { BedSand } from '../../../calc/schedule/site.ts';
import { sandModels } from '../../../daemon/planning/sand-models.ts';
import { seeded } from '../../seeded.ts';
import { dewbeat, lastMoment, type Outcome } from './contenders.ts';
import { type PlaceWeather, placedWindows, seasonCase } from './season-case.ts';

/** Sands that the figures are told of, and others on which choices were made. */
const REPORT_SEED = 60_000;
const TUNE_SEED = 10_000;
/** Suctions of a reported release curve, beside the 30 cm of the capillary porosity. */
const RELEASE_CM = [10, 20, 40, 60];
/** A sand that the reference waters less often than this hardly needed water. */
const ENOUGH_CYCLES = 5;

/** What a plan may know of a sand. */
export const KNOWN = ['release curve', 'porosities', 'class alone'] as const;
export type Known = (typeof KNOWN)[number];

/** Aims with a perfect forecast: daylight dry in the mean and at worst, water in the mean. */
const AIMS: Partial<Record<Known, { meanPct: number; worstPct: number; ratio: number }>> = {
  'release curve': { meanPct: 0.5, worstPct: 2, ratio: 1.15 },
  'class alone': { meanPct: 1, worstPct: 3, ratio: 1.6 },
};

interface Row {
  known: Known;
  className: string;
  outcome: Outcome;
  reference: Outcome;
}

/**
 * What it costs not to know the sand: sands are drawn from the range of each class, none of them its
 * default; the plan knows of each what its row says and the forecast is perfect; the column runs the
 * drawn sand. Each sand has one window of weather, in turn.
 *
 * With 12 sands of seven classes, of which 4 each have reports, some fifteen minutes on two cores;
 * models of reports are kept in the machine's folder for temporary files. `--truths 4 --classes
 * loamy_open,medium_open --reported 0` narrows it; `--tune` takes the sands that choices may be made
 * on, so that those of the table stay unseen.
 */
export async function benchKnownSands(
  print: (text: string) => void,
  asked: {
    sources: readonly PlaceWeather[];
    classes: readonly string[];
    truths: number;
    reported: number;
    isTuning: boolean;
    only: readonly string[];
  },
): Promise<void> {
  const modelsOf = sandModels(join(tmpdir(), 'dewbeat-season-sands'));
  const windows = placedWindows(asked.sources);
  const rows: Row[] = [];
  print(title('class, sand'));
  for (const className of asked.classes) {
    const standIn = sandClass(className);
    for (let index = 0; index < asked.truths; index++) {
      const place = windows[index % windows.length];
      if (place === undefined) continue;
      const truth = drawnOfClass(
        standIn,
        seeded((asked.isTuning ? TUNE_SEED : REPORT_SEED) + 97 * index),
      );
      const bed = { ...standIn.bed, sand: truth.real };
      const one = seasonCase(place.config, place.source, {
        sand: className,
        bed,
        window: place.window,
      });
      const reference = lastMoment(one);
      for (const known of KNOWN) {
        const isAsked = asked.only.length === 0 || asked.only.includes(known);
        if (!isAsked || (known !== 'class alone' && index >= asked.reported)) continue;
        const models = modelsOf(sandKnown(known, standIn, truth.reported), SEED_LAYER_MM);
        const store = bedStore(memberSpread(models));
        const outcome = await dewbeat(one, { store, forecast: 'perfect', revisions: null });
        const row = { known, className, outcome, reference };
        rows.push(row);
        print(line(`${className} ${index + 1}, ${place.window.kind}`, [row]));
      }
    }
    for (const known of KNOWN) print(means(`${className}, all`, ofKnown(rows, known, className)));
  }
  print(`\n${title('all classes')}`);
  for (const known of KNOWN) print(means('all', ofKnown(rows, known)));
}

/** The sand as far as it is known. */
export function sandKnown(known: Known, standIn: SandClass, reported: VanGenuchten): BedSand {
  const base = { name: 'trial', stated: null, className: standIn.key };
  if (known === 'class alone') {
    const { saturatedMmPerH } = standIn.bed.sand;
    return { ...base, basis: 'class_default', saturatedMmPerH, lab: null };
  }
  const { saturatedMmPerH } = reported;
  const { depthMm, under } = standIn.bed;
  const lab = { report: reportOf(reported, known === 'release curve'), depthMm, under };
  return { ...base, basis: 'lab_report', saturatedMmPerH, lab };
}

/** A report of the sand's drained curve, rounded as laboratories print it. */
function reportOf(sand: VanGenuchten, withCurve: boolean): SandReport {
  const soil = vanGenuchtenMualem(sand);
  const held = (suctionCm: number) => Math.round(1000 * soil.waterFraction(-10 * suctionCm)) / 1000;
  const report = {
    totalPorosityFraction: Math.round(1000 * sand.saturatedFraction) / 1000,
    capillaryPorosityFraction: held(30),
    saturatedMmPerH: Math.round(sand.saturatedMmPerH),
  };
  if (!withCurve) return report;
  const releasePoints = RELEASE_CM.map((suctionCm) => ({
    suctionCm,
    waterFraction: held(suctionCm),
  }));
  return { ...report, releasePoints };
}

function ofKnown(rows: readonly Row[], known: Known, className?: string): Row[] {
  return rows.filter(
    (row) => row.known === known && (className === undefined || row.className === className),
  );
}

function title(first: string): string {
  return cells(first, [
    'known',
    'dry %',
    'worst %',
    'water/ref',
    'used/ref',
    'cycles/ref',
    'thirsty',
    'sands',
  ]);
}

/** Water and cycles as ratios of the sums; beside them the mean of the thirsty sands' own ratios. */
function line(name: string, rows: readonly Row[]): string {
  const sum = (pick: (outcome: Outcome) => number, of: 'outcome' | 'reference') =>
    rows.reduce((total, row) => total + pick(row[of]), 0);
  const netMm = ({ verdict }: Outcome) => verdict.netMm;
  const ratio = (value: number, reference: number) =>
    reference > 0 ? (value / reference).toFixed(2) : '-';
  const cycles = (outcome: Outcome) => outcome.cycles;
  const thirsty = rows.filter((row) => row.reference.cycles >= ENOUGH_CYCLES);
  const own = thirsty.reduce((total, row) => total + netMm(row.outcome) / netMm(row.reference), 0);
  return cells(name, [
    rows[0]?.known ?? '',
    meanDry(rows).toFixed(2),
    worstDry(rows).toFixed(1),
    ratio(sum(netMm, 'outcome'), sum(netMm, 'reference')),
    ratio(sum(usedMm, 'outcome'), sum(usedMm, 'reference')),
    ratio(sum(cycles, 'outcome'), sum(cycles, 'reference')),
    ratio(own, thirsty.length),
    String(rows.length),
  ]);
}

/** What left the sand: the rest of the water lies in it still, for the days after. */
function usedMm({ verdict }: Outcome): number {
  return verdict.evaporatedMm + verdict.drainedMm + verdict.runoffMm;
}

function means(name: string, rows: readonly Row[]): string {
  const [first] = rows;
  if (first === undefined) return '';
  const aim = AIMS[first.known];
  const text = line(name, rows);
  if (aim === undefined) return text;
  const sum = (of: 'outcome' | 'reference') =>
    rows.reduce((total, row) => total + row[of].verdict.netMm, 0);
  const isMet =
    meanDry(rows) <= aim.meanPct &&
    worstDry(rows) <= aim.worstPct &&
    sum('outcome') <= aim.ratio * sum('reference');
  return `${text.trimEnd()}   aim ${aim.meanPct} %, ${aim.worstPct} %, ${aim.ratio}: ${isMet ? 'met' : 'NOT met'}\n`;
}

function meanDry(rows: readonly Row[]): number {
  return rows.reduce((total, row) => total + dryPct(row), 0) / Math.max(1, rows.length);
}

function worstDry(rows: readonly Row[]): number {
  return Math.max(0, ...rows.map(dryPct));
}

function dryPct({ outcome: { verdict } }: Row): number {
  return (100 * verdict.dryMin) / verdict.daylightMin;
}

function cells(name: string, fields: readonly string[]): string {
  const [known = '', ...rest] = fields;
  return `${name.padEnd(42)}${known.padEnd(15)}${rest.map((field) => field.padStart(11)).join('')}\n`;
}
