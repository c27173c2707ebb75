import type { TodayBed } from '../web/views/today-view.ts';
import { fill } from '../words/text-columns.ts';
import { line, type ReviewLine } from './review-line.ts';
import { storeBar } from './store-bar.ts';

/** Time to dry in little room: "dry now", "1:20 to 11:40", "not today". */
export function shortDry(bed: TodayBed, timeOf: (ms: number) => string): string {
  const { timeToDryMin, dryAtMs } = bed;
  if (timeToDryMin === null || dryAtMs === null) return 'not today';
  if (timeToDryMin === 0) return 'DRY NOW';
  const hours = Math.floor(timeToDryMin / 60);
  return `${hours}:${String(timeToDryMin % 60).padStart(2, '0')} to ${timeOf(dryAtMs)}`;
}

/** What must not be overlooked about a bed, as words. */
export function stateWords(bed: TodayBed): string {
  return [
    ...(bed.held ? ['ON HOLD'] : []),
    ...(bed.keptOff && !bed.held ? ['KEPT OFF'] : []),
    ...(bed.severity === 'danger' ? ['DRIES OUT'] : bed.severity === 'warn' ? ['RUNS LOW'] : []),
    ...(bed.trimPct === 100 ? [] : [`trim ${bed.trimPct} %`]),
  ].join(', ');
}

interface Columns {
  name: number;
  bar: number;
  next: number;
}

const DRY_COLUMNS = 15;

function columnsFor(width: number, beds: readonly TodayBed[]): Columns {
  const longest = Math.max(8, ...beds.map((bed) => bed.name.length));
  const bar = width >= 78 ? 14 : 8;
  return { name: Math.min(longest, Math.max(8, width - 52)), bar, next: 6 };
}

export function bedHeading(width: number, beds: readonly TodayBed[]): ReviewLine {
  const { name, bar, next } = columnsFor(width, beds);
  const scale = `dry${' '.repeat(Math.max(1, bar + 2 - 7))}full`;
  return line(
    `  ${fill('bed', name)} ${fill('dry in, at', DRY_COLUMNS)} ${fill(scale, bar + 2)} ${fill('next', next)}`,
    width,
    'quiet',
  );
}

/** One bed in one line. */
export function bedRow(
  bed: TodayBed,
  given: {
    width: number;
    beds: readonly TodayBed[];
    isChosen: boolean;
    timeOf: (ms: number) => string;
  },
): ReviewLine {
  const { width, beds, isChosen, timeOf } = given;
  const { name, bar, next } = columnsFor(width, beds);
  const store = { ...bed, storeMm: bed.storeNowMm };
  const nextAt = bed.nextCycleMs === null ? 'none' : timeOf(bed.nextCycleMs);
  const text = `${isChosen ? '>' : ' '} ${fill(bed.name, name)} ${fill(shortDry(bed, timeOf), DRY_COLUMNS)} ${storeBar(store, bar)} ${fill(nextAt, next)} ${stateWords(bed)}`;
  const loud = bed.severity === 'danger' ? 'danger' : bed.severity === 'warn' ? 'warn' : 'plain';
  return line(text, width, isChosen ? 'chosen' : loud);
}
