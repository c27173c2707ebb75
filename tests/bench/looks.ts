import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { seeded } from '../seeded.ts';
import { drawnBeds } from './looks/drawn-beds.ts';
import { type Lived, livedDays } from './looks/lived-days.ts';
import { KNOWN, type Known } from './season/known-sands.ts';
import { packagedWeather } from './season/sources.ts';

const CLASSES = [
  'loamy_open',
  'coarse_over_gravel',
  'medium_open',
  'medium_coarse_over_gravel',
  'coarse_open',
  'fine_over_gravel',
  'medium_over_gravel',
];
const EYES = [0.15, 0.2, 0.3, 0.4, 0.45];
const WRONG_FRACTIONS = [0, 0.2];
/** No bed may be drier for having been looked at, by more of its daylight than this. */
const MOST_DRIER_PCT = 0.5;

/** One bed with a person's looks, and the same bed without. */
interface Pair {
  known: Known;
  eyeFraction: number;
  wrongFraction: number;
  without: Lived;
  with: Lived;
}

/**
 * What looks do to beds: five days lived through the daemon's own acts with three looks a day, and
 * the same days without, both judged by the column. Eyes of several thresholds, truthful and wrong
 * in a fifth of what they tell; the planner knows of the sand its class, its porosities or its
 * release curve.
 *
 * Some ten minutes of one core. `--truths 21 --classes loamy_open --known 'class alone' --eyes 0.2,0.4
 * --wrong 0` narrow or widen it; `--tune` takes the beds that choices may be made on, so that those of
 * the table stay unseen.
 */
export async function benchLooks(
  print: (text: string) => void,
  args: readonly string[],
): Promise<void> {
  const { values } = parseArgs({
    args: [...args],
    options: {
      truths: { type: 'string', default: '7' },
      classes: { type: 'string', default: CLASSES.join() },
      known: { type: 'string', multiple: true, default: [] },
      eyes: { type: 'string', default: EYES.join() },
      wrong: { type: 'string', default: WRONG_FRACTIONS.join() },
      tune: { type: 'boolean', default: false },
    },
  });
  const numbers = (text: string) => text.split(',').map(Number);
  const known = KNOWN.filter((one) => values.known.length === 0 || values.known.includes(one));
  const [eyes, wrongs] = [numbers(values.eyes), numbers(values.wrong)];
  const beds = drawnBeds(await packagedWeather(), {
    classes: values.classes.split(','),
    truths: Number(values.truths),
    isTuning: values.tune,
  });
  const modelsFolder = join(tmpdir(), 'dewbeat-season-sands');
  const pairs: Pair[] = [];
  print(
    cells('bed, known', [
      'without',
      ...wrongs.flatMap((wrong) => eyes.map((eye) => `${eye}${wrong > 0 ? ' wrong' : ''}`)),
    ]),
  );
  for (const { name, seed, one, sandBy } of beds) {
    for (const how of known) {
      const sand = sandBy(how);
      const without = await livedDays(one, { sand, person: null, modelsFolder });
      const own: Pair[] = [];
      for (const wrongFraction of wrongs) {
        for (const eyeFraction of eyes) {
          const person = { eyeFraction, wrongFraction, unit: seeded(seed + 1) };
          const lived = await livedDays(one, { sand, person, modelsFolder });
          own.push({ known: how, eyeFraction, wrongFraction, without, with: lived });
        }
      }
      pairs.push(...own);
      print(cells(`${name}, ${how}`, [without, ...own.map((pair) => pair.with)].map(daysText)));
    }
  }
  print(
    `\n${cells('known, wrong, eye', ['dry without', 'dry with', 'worst with', 'most drier', 'mm without', 'mm with', 'lives'])}`,
  );
  for (const how of known) {
    for (const wrong of wrongs) {
      for (const eye of eyes) {
        const own = pairs.filter(
          (pair) => pair.known === how && pair.wrongFraction === wrong && pair.eyeFraction === eye,
        );
        print(summaryLine(`${how}, ${100 * wrong} %, ${eye}`, own));
      }
    }
  }
  print(summaryLine('all', pairs));
  const drier = pairs.filter((pair) => drierPct(pair) > MOST_DRIER_PCT);
  print(
    `drier with looks by more than ${MOST_DRIER_PCT} points: ${drier.length} of ${pairs.length} lives; none is allowed\n`,
  );
}

function summaryLine(name: string, pairs: readonly Pair[]): string {
  if (pairs.length === 0) return '';
  const mean = (of: (pair: Pair) => number) =>
    pairs.reduce((sum, pair) => sum + of(pair), 0) / pairs.length;
  const most = (of: (pair: Pair) => number) => Math.max(...pairs.map(of));
  return cells(name, [
    `${mean((pair) => dryPct(pair.without)).toFixed(2)} %`,
    `${mean((pair) => dryPct(pair.with)).toFixed(2)} %`,
    `${most((pair) => dryPct(pair.with)).toFixed(1)} %`,
    most(drierPct).toFixed(2),
    mean((pair) => pair.without.verdict.netMm).toFixed(1),
    mean((pair) => pair.with.verdict.netMm).toFixed(1),
    String(pairs.length),
  ]);
}

function daysText(lived: Lived): string {
  return `${dryPct(lived).toFixed(1)}/${lived.verdict.netMm.toFixed(0)}`;
}

function drierPct(pair: Pair): number {
  return dryPct(pair.with) - dryPct(pair.without);
}

function dryPct({ verdict }: Lived): number {
  return (100 * verdict.dryMin) / verdict.daylightMin;
}

function cells(name: string, fields: readonly string[]): string {
  return `${name.padEnd(68)}${fields.map((field) => field.padStart(13)).join('')}\n`;
}
