import { type DisplayUnits, display } from '../../../adapters/display-units.ts';
import { bedStore, memberSpread } from '../../../calc/futures/member-spread.ts';
import { type BedProfile, dryDownTable, fullColumn } from '../../../calc/sand/bed-column.ts';
import { fitRetention } from '../../../calc/sand/retention-curves.ts';
import { runColumn, storedMm } from '../../../calc/sand/richards-column.ts';
import { membersOfClass } from '../../../calc/sand/sand-class-models.ts';
import { sandClass } from '../../../calc/sand/sand-classes.ts';
import { SEED_LAYER_MM } from '../../../calc/sand/seedbed-store.ts';
import type { SandConfig } from '../../site/config/bed-schema.ts';
import { toSand } from '../../site/config/to-site.ts';

/** How a sand dries, in words and as points of a picture. */
export interface SandPicture {
  lines: string[];
  /** What the bed of the picture loses, with its unit. */
  demand: string;
  /** Water of the seed layer against full, from full on; empty: the sand has figures of its own. */
  points: { hours: number; fullPct: number }[];
  /** When the column is dry; null: not within the run. */
  dryAfterH: number | null;
}

const DEMANDS_MM_PER_H = [0.3, 0.5, 0.7] as const;
/** A hot midday. */
const SHOWN_MM_PER_H = 0.5;
const STEPS = 12;
const LONGEST_H = 120;

/** Dries a sand down in the numerical column; `sand` is an entry of `sands`, or a class's name. */
export function sandPicture(sand: SandConfig | string, units: DisplayUnits): SandPicture {
  const show = display(units);
  const known = typeof sand === 'string' ? toSand(sand, {}) : toSand('sand', { sand });
  if (known.stated !== null) {
    const lines = [
      `Your own figure: holds ${show.depth(known.stated.capacityMm)} from full to dry.`,
    ];
    return { lines, demand: show.rate(SHOWN_MM_PER_H), points: [], dryAfterH: null };
  }
  const standIn = sandClass(known.className);
  const fit = known.lab === null ? null : fitRetention(known.lab.report, standIn.bed.sand);
  const bed: BedProfile =
    known.lab === null || fit === null
      ? standIn.bed
      : { sand: fit.sand, depthMm: known.lab.depthMm, under: known.lab.under };
  const rows = dryDownTable(bed, { ratesMmPerH: DEMANDS_MM_PER_H, longestH: LONGEST_H });
  const shown = rows.find(({ demandMmPerH }) => demandMmPerH === SHOWN_MM_PER_H);
  const dryAfterH = shown?.hours ?? null;
  return {
    lines: [
      ...rows.map(({ demandMmPerH, hours, capacityMm }) =>
        hours === null || capacityMm === null
          ? `Losing ${show.rate(demandMmPerH)} it stays moist for more than ${LONGEST_H} h.`
          : `Losing ${show.rate(demandMmPerH)} it is dry after ${hours.toFixed(1)} h and ${show.depth(capacityMm)}.`,
      ),
      ...(fit === null ? countedLines(known.className, show.depth) : []),
      ...(fit === null
        ? ['This sand is assumed from its class; a laboratory report or a few looks settle it.']
        : [`The curve misses the report by ${(100 * fit.missFraction).toFixed(2)} % of volume.`]),
    ],
    demand: show.rate(SHOWN_MM_PER_H),
    points: driedPoints(bed, dryAfterH ?? LONGEST_H),
    dryAfterH,
  };
}

/** The picture for a terminal: one bar a moment. */
export function sandChart({ points, demand, dryAfterH }: SandPicture): string[] {
  if (points.length === 0) return [];
  const bars = points.map(({ hours, fullPct }) => {
    const bar = '#'.repeat(Math.round(fullPct / 2.5));
    return `${hours.toFixed(1).padStart(6)} h |${bar.padEnd(40)}| ${fullPct.toFixed(0)} %`;
  });
  const end = dryAfterH === null ? 'not dry yet' : 'dry here';
  return [`Water of the seed layer, losing ${demand} from full:`, ...bars, `         ${end}`];
}

function countedLines(className: string, depth: (depthMm: number) => string): string[] {
  const models = membersOfClass(className).map(({ model }) => model);
  const counted = bedStore(memberSpread(models)).capacityMm(SHOWN_MM_PER_H);
  return [
    `Plans follow many such sands: half of them hold ${depth(counted)} (${(counted / SHOWN_MM_PER_H).toFixed(1)} h) or more.`,
  ];
}

function driedPoints(bed: BedProfile, endH: number): SandPicture['points'] {
  const column = fullColumn(bed);
  const fullMm = storedMm(column, SEED_LAYER_MM);
  const points = [{ hours: 0, fullPct: 100 }];
  for (let step = 1; step <= STEPS; step += 1) {
    runColumn(column, { hours: endH / STEPS, waterMmPerH: 0, demandMmPerH: SHOWN_MM_PER_H });
    const fullPct = (100 * storedMm(column, SEED_LAYER_MM)) / fullMm;
    points.push({ hours: (endH * step) / STEPS, fullPct });
  }
  return points;
}
