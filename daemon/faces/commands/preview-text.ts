import type { SiteClock } from '../../../adapters/site-clock.ts';
import type { Preview } from '../../actions/preview-figures.ts';
import { headingsOf, sayAtCommandLine as say } from '../../words/command-line.ts';
import { newShortages, previewRows, previewSums } from '../terminal/preview-rows.ts';
import { foldedTable, foldedText } from './folded-table.ts';

/** What a change would make of the day, before and after, for a terminal. */
export function previewText(
  seen: Preview,
  { clock, width }: { clock: SiteClock; width?: number | undefined },
): string {
  const { rows, others } = previewRows(seen);
  const heading = headingsOf('preview.heading', { at: clock.timeOf(seen.hottestHourMs) });
  const cells = rows.map((row) => [
    row.bed,
    row.cycles,
    row.minutes,
    row.percentOfLoss,
    row.lowest,
  ]);
  return [
    ...foldedText(say('preview.title', { what: seen.line }), width),
    ...seen.dry.flatMap((text) => foldedText(text, width)),
    '',
    ...(rows.length === 0
      ? [say('preview.no_change')]
      : [say('preview.to_come'), foldedTable(heading, cells, width)]),
    ...(rows.length > 0 && others > 0 ? [say('preview.others', { others })] : []),
    '',
    previewSums(seen),
    ...newShortages(seen).flatMap((text) => foldedText(`! ${text}`, width)),
    say('preview.keep'),
  ].join('\n');
}
