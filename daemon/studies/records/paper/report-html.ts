import type { ColumnMeasures } from '../../../../adapters/display-units.ts';
import { sayEstimate, sayMark } from '../../../words/estimate-words.ts';
import type { Say } from '../../../words/language.ts';
import { escapeHtml } from '../../../words/safe-text.ts';
import { remarkLines, type SiteRecord } from '../site-record.ts';
import {
  type Cell,
  isNumberCell,
  measured,
  type RecordTable,
  rateEstimate,
  roundedText,
  siteTime,
  type TableContext,
} from '../tables/record-table.ts';
import { waterSums } from '../water-sums.ts';
import { dayPlot, plotDays } from './day-plot.ts';

/** The report as one page that asks nothing from outside, for a screen and for paper. */
export function reportHtml(context: TableContext, tables: readonly RecordTable[]): string {
  const { record, clock, measures, reader, say } = context;
  const { site, span, madeAtMs } = record;
  const from = span.days[0]?.siteDay ?? '';
  const to = span.days.at(-1)?.siteDay ?? '';
  const title = say('reports.title', {
    site: site.name,
    when: from === to ? from : say('reports.span', { from, to }),
  });
  const made = say('reports.made', {
    at: siteTime(clock, madeAtMs),
    zone: clock.zone,
    units: say(`reports.units.${reader.show.units}`),
  });
  const summary = summaryOf(context);
  const figures = summary.figures
    .map(
      ({ what, value, note }) =>
        `<li>${escapeHtml(what)}<strong>${escapeHtml(value)}</strong>${escapeHtml(note)}</li>`,
    )
    .join('');
  const lines = [...summary.lines, ...remarkLines(record, say)]
    .map((line) => `<p>${escapeHtml(line)}</p>`)
    .join('\n');
  const cautions = reportCautions(say).map((line) => `<li>${escapeHtml(line)}</li>`);
  return `<!doctype html>
<html lang="${reader.language}"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeHtml(title)}</title><style>${REPORT_STYLE}</style></head>
<body>
<h1>${escapeHtml(title)}</h1>
<p>${escapeHtml(made)}</p>
<ul class="figures">${figures}</ul>
${lines}
<h2>${escapeHtml(say('reports.plot'))}</h2>
<p class="about">${escapeHtml(say('reports.plot.about'))}</p>
${dayPlot(plotDays(context), measures.depth, say)}
${tables.map((table) => section(table, say)).join('\n')}
<h2>${escapeHtml(say('reports.cautions'))}</h2>
<ul>${cautions.join('')}</ul>
</body></html>
`;
}

function section(table: RecordTable, say: Say): string {
  const { file, title, about, columns, rows, fileOnly } = table;
  const head = `<h2>${escapeHtml(title)}</h2>\n<p class="about">${escapeHtml(about)}</p>`;
  const nothing = (words: string) => `${head}<p class="nothing">${escapeHtml(words)}</p>`;
  if (fileOnly === true) return nothing(say('reports.file_only', { rows: rows.length, file }));
  if (rows.length === 0) return nothing(say('reports.nothing'));
  const headings = columns.map(({ heading }) => `<th scope="col">${escapeHtml(heading)}</th>`);
  const body = rows
    .map((row) => `<tr>${row.map((cell) => cellHtml(cell, say)).join('')}</tr>`)
    .join('\n');
  return `${head}<div class="wide"><table><thead><tr>${headings.join('')}</tr></thead>\n<tbody>${body}</tbody></table></div>${marks(table, say)}`;
}

function cellHtml(cell: Cell, say: Say): string {
  if (typeof cell === 'string') return `<td>${escapeHtml(cell)}</td>`;
  if (!isNumberCell(cell)) return `<td>${escapeHtml(cell.words)}</td>`;
  const text = roundedText(cell);
  if (cell.estimates.length === 0) return `<td class="number">${text}</td>`;
  const why = cell.estimates.map((one) => sayEstimate(one, say)).join('; ');
  return `<td class="number estimate" title="${escapeHtml(why)}">≈ ${text}</td>`;
}

/** What the marks of a table stand for, by column; counts of single rows are in its file. */
function marks({ columns, rows }: RecordTable, say: Say): string {
  const byColumn = columns.flatMap(({ heading }, index) => {
    const why = new Set(
      rows.flatMap((row) => {
        const cell = row[index];
        if (cell === undefined || typeof cell === 'string' || !isNumberCell(cell)) return [];
        return cell.estimates.map((one) => sayMark(one, say));
      }),
    );
    return why.size === 0 ? [] : [`${heading}: ${[...why].join('; ')}`];
  });
  return byColumn.length === 0
    ? ''
    : `<p class="marks">≈ ${byColumn.map(escapeHtml).join('. ≈ ')}.</p>`;
}

/** A figure that stands first, and what has to be said of it. */
interface Figure {
  what: string;
  value: string;
  note: string;
}

/** The few figures that stand first, and what has to be said of the whole. */
function summaryOf(context: TableContext): { figures: Figure[]; lines: string[] } {
  const { record, measures, say } = context;
  const { drying, events, hand, runs } = record;
  const days = plotDays(context);
  const total = (pick: (day: (typeof days)[number]) => number | null) =>
    days.reduce((sum, day) => sum + (pick(day) ?? 0), 0);
  const lossMm = total((day) => day.lossMm);
  const waterMm = total((day) => day.knownMm + day.assumedMm + day.handMm);
  const sums = waterSums(runs, hand, { ofRun: () => 0, ofHand: () => 0 });
  const depth = (mm: number) => about(mm, measures.depth);
  const volume = (litres: number) => about(litres, measures.volume);
  const rain = depth(total((day) => day.rainMm));
  const assumedPct = sums.volumeL > 0 ? Math.round((100 * sums.assumedL) / sums.volumeL) : 0;
  const seen = drying.filter(({ from }) => from === 'seen').length;
  const count = (kind: string) => events.filter((one) => one.kind === kind).length;
  return {
    figures: [
      {
        what: say('reports.figure.loss'),
        value: depth(lossMm),
        note: say('reports.figure.loss.note'),
      },
      {
        what: say('reports.figure.water'),
        value: depth(waterMm),
        note:
          lossMm > 0
            ? say('reports.figure.water.note', { pct: Math.round((100 * waterMm) / lossMm), rain })
            : say('reports.figure.water.no_loss', { rain }),
      },
      {
        what: say('reports.figure.sprinklers'),
        value: volume(sums.volumeL),
        note:
          sums.runs === 0
            ? say('reports.figure.sprinklers.no_runs')
            : say('reports.figure.sprinklers.note', { pct: assumedPct }),
      },
      {
        what: say('reports.figure.hand'),
        value: volume(sums.handL),
        note: say('reports.figure.hand.note', { times: hand.length }),
      },
      {
        what: say('reports.figure.drying'),
        value: String(drying.length),
        note: say('reports.figure.drying.note', { seen, expected: drying.length - seen }),
      },
      {
        what: say('reports.figure.stops'),
        value: `${count('hold')}, ${count('keep_off')}`,
        note: say('reports.figure.stops.note', { warnings: count('confirmed_despite') }),
      },
    ],
    lines: summaryLines(context, { assumedPct, ...sums }),
  };
}

function about(value: number, measure: ColumnMeasures['depth']): string {
  return `≈ ${roundedText(measured(value, measure))} ${measure.unit}`;
}

function summaryLines(
  { record, clock, say }: TableContext,
  water: { assumedPct: number; assumedRuns: number; runs: number },
): string[] {
  const { corrections, days, madeAtMs, runs, site } = record;
  const { assumedPct, assumedRuns } = water;
  const today = clock.siteDayOf(madeAtMs);
  const rates = rateEstimate(site, runs);
  const without = days.filter(({ plans }) => plans === 0).length;
  const lines: (string | null)[] = [
    assumedPct > 0 ? say('reports.line.assumed', { assumed: assumedRuns, runs: water.runs }) : null,
    notRunLine(record, say),
    rates.length === 0
      ? null
      : say('reports.line.rates', { why: rates.map((one) => sayEstimate(one, say)).join('; ') }),
    corrections.length === 0
      ? null
      : say('reports.line.corrections', { corrections: corrections.length }),
    without === 0 ? null : say('reports.line.no_plan', { without, days: days.length }),
    days.some(({ siteDay }) => siteDay === today)
      ? say('reports.line.today', { day: today })
      : null,
  ];
  return lines.filter((line) => line !== null);
}

/** States of a run that brought no water, as they are told. */
const NOT_RUN = ['missed', 'withdrawn', 'missing', 'rejected'] as const;

/** Runs that persons confirmed and that brought no water, by what became of them. */
function notRunLine({ runs }: SiteRecord, say: Say): string | null {
  const none = runs.filter((run) => run.confirmedS > 0 && run.countedS === 0);
  if (none.length === 0) return null;
  const parts = NOT_RUN.flatMap((state) => {
    const count = none.filter((run) => run.corrected === null && run.state === state).length;
    return count === 0 ? [] : [say(`reports.not_run.${state}`, { count })];
  });
  const corrected = none.filter((run) => run.corrected !== null).length;
  if (corrected > 0) parts.push(say('reports.not_run.corrected', { count: corrected }));
  const values = { none: none.length, runs: runs.length, parts: parts.join(', ') };
  return say('reports.line.not_run', values);
}

/** What every report and every package says to whoever acts on it. */
export function reportCautions(say: Say): string[] {
  return [
    say('caution.sprinklers'),
    say('caution.lightning'),
    say('caution.wiring'),
    say('reports.caution.injector'),
    say('caution.reclaimed'),
    say('reports.caution.permits'),
    say('caution.frost'),
    say('caution.disease'),
    say('caution.last_word'),
  ];
}

/** The report's look: on a screen, and on A4 or Letter across. */
const REPORT_STYLE = `
:root { color-scheme: light; }
body { font: 15px/1.45 system-ui, sans-serif; color: #111; background: #fff; margin: 1.5rem auto; max-width: 1400px; padding: 0 1rem; }
h1 { font-size: 1.6rem; margin: 0 0 .2rem; } h2 { font-size: 1.15rem; margin: 1.8rem 0 .3rem; border-bottom: 2px solid #2b6a8f; }
p { max-width: 75ch; margin: .3rem 0 .6rem; } .about, .marks { color: #333; font-size: .9rem; }
.figures { display: grid; grid-template-columns: repeat(auto-fit, minmax(13rem, 1fr)); gap: .6rem; margin: 1rem 0; padding: 0; list-style: none; }
.figures li { border: 1px solid #888; padding: .5rem .7rem; } .figures strong { display: block; font-size: 1.25rem; }
.wide { overflow-x: auto; } table { border-collapse: collapse; font-size: .82rem; width: 100%; }
th, td { border: 1px solid #aaa; padding: .18rem .35rem; text-align: left; vertical-align: top; }
th { background: #eef3f6; font-weight: 600; } td.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
td:first-child { white-space: nowrap; } td.estimate { font-style: italic; } tbody tr:nth-child(even) { background: #f7f9fa; }
.nothing { color: #333; font-style: italic; } svg { width: 100%; height: auto; font: 12px system-ui, sans-serif; }
@page { size: A4 landscape; margin: 10mm; }
@media print {
  body { font-size: 9.5pt; margin: 0; max-width: none; padding: 0; } h2 { break-after: avoid; }
  .about, .marks { font-size: 7.5pt; max-width: none; } table { font-size: 6.8pt; } th, td { padding: .6mm .8mm; } .wide { overflow: visible; }
  thead { display: table-header-group; } tr, svg, .figures { break-inside: avoid; }
}
`;
