import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { seeded } from '../seeded.ts';
import { type DrawnBed, drawnBeds } from './looks/drawn-beds.ts';
import { type Lived, livedDays } from './looks/lived-days.ts';
import { type LookTimes, type TaughtTime, taughtTime } from './looks/taught-time.ts';
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
 * What looks do: by default, what six of them do to the told time to dry; with `--lives`, what they do
 * to beds. The planner knows of the sand its class, its porosities or its release curve; eyes have
 * several thresholds.
 *
 * `--truths 21 --classes loamy_open --known 'class alone' --eyes 0.2,0.4 --wrong 0` narrow or widen it;
 * `--tune` takes the beds that choices may be made on, so that those of the table stay unseen.
 */
export async function benchLooks(
  print: (text: string) => void,
  args: readonly string[],
): Promise<void> {
  const { values } = parseArgs({
    args: [...args],
    options: {
      truths: { type: 'string' },
      classes: { type: 'string', default: CLASSES.join() },
      known: { type: 'string', multiple: true, default: [] },
      eyes: { type: 'string', default: EYES.join() },
      wrong: { type: 'string' },
      tune: { type: 'boolean', default: false },
      lives: { type: 'boolean', default: false },
    },
  });
  const numbers = (text: string) => text.split(',').map(Number);
  const ofKind = values.lives ? OF_LIVES : OF_TIMES;
  const asked = {
    known: KNOWN.filter((one) => values.known.length === 0 || values.known.includes(one)),
    eyes: numbers(values.eyes),
    wrongs: values.wrong === undefined ? ofKind.wrongs : numbers(values.wrong),
    beds: drawnBeds(await packagedWeather(), {
      classes: values.classes.split(','),
      truths: Number(values.truths ?? ofKind.truths),
      isTuning: values.tune,
    }),
  };
  await (values.lives ? benchLives(print, asked) : benchTimes(print, asked));
}

const OF_LIVES = { truths: 7, wrongs: WRONG_FRACTIONS };
/** 16 beds, each known in three ways: 48 cases. */
const OF_TIMES = { truths: 16, wrongs: [0.2] };

interface Asked {
  known: readonly Known[];
  eyes: readonly number[];
  wrongs: readonly number[];
  beds: readonly DrawnBed[];
}

const modelsFolder = join(tmpdir(), 'dewbeat-season-sands');

/** A told time may be worse by so much for having looked. */
const MOST_WORSE_MIN = 10;
const TIMES: readonly LookTimes[] = ['clock', 'worth'];

/**
 * The error of the time to dry of a bed that is full at noon, before and after six looks, each bed
 * with one eye after the other: looks at 10:30, 13:00 and 15:30, and looks where they are worth most.
 */
async function benchTimes(print: (text: string) => void, asked: Asked): Promise<void> {
  const found: { known: Known; times: LookTimes; taught: TaughtTime }[] = [];
  print(cells('bed, known, eye: error in minutes', ['before', ...TIMES, 'looks']));
  for (const [index, { name, seed, one, sandBy }] of asked.beds.entries()) {
    for (const [turn, known] of asked.known.entries()) {
      const eyeFraction = asked.eyes[(index + turn) % asked.eyes.length] ?? 0.3;
      const wrongFraction = asked.wrongs[index % asked.wrongs.length] ?? 0;
      const own: TaughtTime[] = [];
      for (const times of TIMES) {
        const person = { eyeFraction, wrongFraction, unit: seeded(seed + turn + 1) };
        const sand = sandBy(known);
        const taught = await taughtTime(one, { sand, person, modelsFolder, times });
        own.push(taught);
        found.push({ known, times, taught });
      }
      const minutes = [own[0]?.beforeMin ?? 0, ...own.map(({ afterMin }) => afterMin)];
      print(
        cells(`${name}, ${known}, ${eyeFraction}`, [
          ...minutes.map((min) => min.toFixed(0)),
          own.map(({ looks }) => looks).join(),
        ]),
      );
    }
  }
  print(`\n${cells('known, looks at', ['before', 'after', 'ratio', 'worse', 'cases'])}`);
  for (const times of TIMES) {
    for (const known of [...asked.known, null]) {
      const own = found
        .filter((one) => one.times === times && (known === null || one.known === known))
        .map(({ taught }) => taught);
      const mean = (of: (one: TaughtTime) => number) =>
        own.reduce((sum, one) => sum + of(one), 0) / own.length;
      const [before, after] = [mean((one) => one.beforeMin), mean((one) => one.afterMin)];
      const worse = own.filter((one) => one.afterMin - one.beforeMin > MOST_WORSE_MIN).length;
      print(
        cells(`${known ?? 'all'}, ${times}`, [
          before.toFixed(1),
          after.toFixed(1),
          (after / before).toFixed(2),
          String(worse),
          String(own.length),
        ]),
      );
    }
  }
}

/**
 * Five days lived through the daemon's own acts with three looks a day, and the same days without,
 * both judged by the column; some ten minutes of one core. Eyes of several thresholds, truthful and
 * wrong in a fifth of what they tell.
 */
async function benchLives(print: (text: string) => void, asked: Asked): Promise<void> {
  const { known, eyes, wrongs, beds } = asked;
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
