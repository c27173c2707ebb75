import { unitsLine } from '../../../adapters/column-measures.ts';
import { escapeHtml } from '../../words/escape-html.ts';
import { type Cell, type RecordTable, roundedText } from '../tables/record-table.ts';
import { siteTime, type TableContext } from '../tables/table-context.ts';
import { dayPlot } from './day-plot.ts';
import { plotDays } from './plot-days.ts';
import { REPORT_CAUTIONS } from './report-cautions.ts';
import { REPORT_STYLE } from './report-style.ts';
import { summaryOf } from './summary.ts';

/** The report as one page that asks nothing from outside, for a screen and for paper. */
export function reportHtml(context: TableContext, tables: readonly RecordTable[]): string {
  const { record, clock, measures } = context;
  const { site, span, madeAtMs, remarks } = record;
  const first = span.days[0]?.siteDay ?? '';
  const last = span.days.at(-1)?.siteDay ?? '';
  const when = first === last ? first : `${first} to ${last}`;
  const summary = summaryOf(context);
  const figures = summary.figures
    .map(
      ({ what, value, note }) =>
        `<li>${escapeHtml(what)}<strong>${escapeHtml(value)}</strong>${escapeHtml(note)}</li>`,
    )
    .join('');
  const lines = [...summary.lines, ...remarks]
    .map((line) => `<p>${escapeHtml(line)}</p>`)
    .join('\n');
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeHtml(`${site.name}: water, ${when}`)}</title><style>${REPORT_STYLE}</style></head>
<body>
<h1>${escapeHtml(site.name)}: water, ${when}</h1>
<p>Made ${escapeHtml(siteTime(clock, madeAtMs))}, time zone ${escapeHtml(clock.zone)}. ${escapeHtml(unitsLine(measures))}
Numbers marked <em>≈</em> are estimates; what was measured or reported has no mark.</p>
<ul class="figures">${figures}</ul>
${lines}
<h2>Loss and water by day</h2>
<p class="about">Means over the area of all beds. Net water: what reached the ground.</p>
${dayPlot(plotDays(context), measures.depth)}
${tables.map(section).join('\n')}
<h2>Cautions</h2>
<ul>${REPORT_CAUTIONS.map((line) => `<li>${escapeHtml(line)}</li>`).join('')}</ul>
</body></html>
`;
}

function section(table: RecordTable): string {
  const { file, title, about, columns, rows, fileOnly } = table;
  const head = `<h2>${escapeHtml(title)}</h2>\n<p class="about">${escapeHtml(about)}</p>`;
  if (fileOnly === true) {
    return `${head}<p class="nothing">${rows.length} rows, in ${escapeHtml(file)} of the tables and of the hand-over.</p>`;
  }
  if (rows.length === 0) return `${head}<p class="nothing">None.</p>`;
  const heading = columns.map((one) => `<th scope="col">${escapeHtml(one)}</th>`).join('');
  const body = rows.map((row) => `<tr>${row.map(cellHtml).join('')}</tr>`).join('\n');
  return `${head}<div class="wide"><table><thead><tr>${heading}</tr></thead>\n<tbody>${body}</tbody></table></div>${marks(table)}`;
}

function cellHtml(cell: Cell): string {
  if (typeof cell === 'string') return `<td>${escapeHtml(cell)}</td>`;
  const text = roundedText(cell);
  if (cell.estimate === null) return `<td class="number">${text}</td>`;
  return `<td class="number estimate" title="${escapeHtml(cell.estimate)}">≈ ${text}</td>`;
}

/** What the marks of a table stand for, by column; counts of single rows are in its file. */
function marks({ columns, rows }: RecordTable): string {
  const byColumn = columns.flatMap((column, index) => {
    const why = new Set(
      rows.flatMap((row) => {
        const cell = row[index];
        if (cell === undefined || typeof cell === 'string' || cell.estimate === null) return [];
        return cell.estimate.split('; ').map((one) => one.replace(/\d+ of \d+ |\d+ h /g, ''));
      }),
    );
    return why.size === 0 ? [] : [`${column}: ${[...why].join('; ')}`];
  });
  return byColumn.length === 0
    ? ''
    : `<p class="marks">≈ ${byColumn.map(escapeHtml).join('. ≈ ')}.</p>`;
}
