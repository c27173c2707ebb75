import { display } from '../../../adapters/display-units.ts';
import type { BedFigures, BedPreview, Preview } from '../../actions/preview-figures.ts';
import { sayAtCommandLine as say } from '../../words/command-line.ts';

const { duration } = display('metric');

/** A bed's figures of what is still to come, as a table shows them: "9 > 11", or "9" where nothing changes. */
export interface PreviewRow {
  bed: string;
  cycles: string;
  minutes: string;
  percentOfLoss: string;
  lowest: string;
}

/** The beds whose figures change, and how many others there are. */
export function previewRows({ beds }: Preview): { rows: PreviewRow[]; others: number } {
  const rows = beds.filter(isSeen).map(rowOf);
  return { rows, others: beds.length - rows.length };
}

/** What is said under the table: the sums of the day. */
export function previewSums({ before, after }: Preview): string {
  const sums = ({ cycles, runMin }: Preview['after']) =>
    say('preview.sums', { cycles, duration: duration(Math.round(runMin) * 60) });
  return before === null
    ? say('preview.in_all', { after: sums(after) })
    : say('preview.in_all_from', { before: sums(before), after: sums(after) });
}

/** What does not fit in the day only since the change. */
export function newShortages({ before, after }: Preview): string[] {
  return after.shortages.filter((text) => !before?.shortages.includes(text));
}

type Cells = Omit<PreviewRow, 'bed'>;

const CELLS = ['cycles', 'minutes', 'percentOfLoss', 'lowest'] as const;

function isSeen({ before, after }: BedPreview): boolean {
  if (before === null) return true;
  const [was, is] = [cellsOf(before), cellsOf(after)];
  return CELLS.some((cell) => was[cell] !== is[cell]);
}

function rowOf({ name, before, after }: BedPreview): PreviewRow {
  const is = cellsOf(after);
  const was = before === null ? is : cellsOf(before);
  const cell = (of: keyof Cells) => (was[of] === is[of] ? is[of] : `${was[of]} > ${is[of]}`);
  const percent =
    before === null || was.percentOfLoss === is.percentOfLoss
      ? is.percentOfLoss
      : `${percentOf(before)} > ${is.percentOfLoss}`;
  return {
    bed: name,
    cycles: cell('cycles'),
    minutes: cell('minutes'),
    percentOfLoss: percent,
    lowest: cell('lowest'),
  };
}

function cellsOf(figures: BedFigures): Cells {
  const percent = percentOf(figures);
  return {
    cycles: String(figures.cycles),
    minutes: String(Math.round(figures.runMin * 10) / 10),
    percentOfLoss: percent === '-' ? percent : `${percent} %`,
    lowest: figures.words.lowest,
  };
}

function percentOf({ percentOfLoss }: BedFigures): string {
  return percentOfLoss === null ? '-' : String(Math.round(percentOfLoss));
}
