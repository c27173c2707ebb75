import type { SiteClock } from '../../../adapters/site-clock.ts';
import type { BedFigures, Preview } from '../../actions/preview-figures.ts';
import { foldedTable, foldedText } from './folded-table.ts';

const SHOWN = ['cycles', 'minutes', 'percentOfLoss', 'lowest'] as const;

/** What a change would make of the day, before and after, for a terminal. */
export function previewText(
  seen: Preview,
  { clock, width }: { clock: SiteClock; width?: number | undefined },
): string {
  const { before, after } = seen;
  const changed = seen.beds.filter(({ before: was, after: is }) =>
    SHOWN.some((word) => was?.words[word] !== is.words[word]),
  );
  const rows = changed.map((bed) => [
    bed.name,
    ...SHOWN.map((word) => fromTo(bed.before, bed.after, word)),
  ]);
  const hottest = clock.timeOf(seen.hottestHourMs);
  const heading = ['bed', 'cycles', 'minutes', 'of the loss', `lowest store at ${hottest}`];
  const others = seen.beds.length - changed.length;
  const newShortages = after.shortages.filter((text) => !before?.shortages.includes(text));
  return [
    ...foldedText(`PREVIEW, nothing is kept: ${seen.line}`, width),
    ...seen.dry.flatMap((text) => foldedText(text, width)),
    '',
    ...(rows.length === 0
      ? ['No bed changes.']
      : ['What is still to come, before > after', foldedTable(heading, rows, width)]),
    ...(rows.length > 0 && others > 0
      ? [others === 1 ? 'One other bed stays as it is.' : `${others} other beds stay as they are.`]
      : []),
    '',
    `In all ${before === null ? '' : `${totals(before)} > `}${totals(after)}.`,
    ...newShortages.flatMap((text) => foldedText(`! ${text}`, width)),
    'Give the same command without --preview to keep it.',
  ].join('\n');
}

function fromTo(
  before: BedFigures | null,
  after: BedFigures,
  word: keyof BedFigures['words'],
): string {
  const is = after.words[word].replace(/ of loss$/, '');
  const was = before?.words[word].replace(/ of loss$/, '');
  return was === undefined || was === is ? is : `${was} > ${is}`;
}

function totals({ cycles, runMin }: { cycles: number; runMin: number }): string {
  return `${cycles} ${cycles === 1 ? 'cycle' : 'cycles'}, ${Math.round(runMin)} min`;
}
