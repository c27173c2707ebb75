import { unitsLine } from '../../../../adapters/display-units.ts';
import { escapeHtml } from '../../../words/safe-text.ts';
import type { SiteRecord } from '../site-record.ts';
import {
  type Cell,
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

/** The few figures that stand first, and what has to be said of them. */
function summaryOf(context: TableContext): {
  figures: { what: string; value: string; note: string }[];
  lines: string[];
} {
  const { record, measures, clock } = context;
  const { depth, volume } = measures;
  const days = plotDays(context);
  const total = (pick: (day: (typeof days)[number]) => number | null) =>
    days.reduce((sum, day) => sum + (pick(day) ?? 0), 0);
  const lossMm = total((day) => day.lossMm);
  const sprinklersMm = total((day) => day.knownMm + day.assumedMm);
  const handMm = total((day) => day.handMm);
  const rainMm = total((day) => day.rainMm);
  const sums = waterSums(record.runs, record.hand, { ofRun: () => 0, ofHand: () => 0 });
  const say = (mm: number) => `≈ ${roundedText(measured(mm, depth))} ${depth.unit}`;
  const sayL = (litres: number) => `≈ ${roundedText(measured(litres, volume))} ${volume.unit}`;
  const share = lossMm > 0 ? `${Math.round((100 * (sprinklersMm + handMm)) / lossMm)} %` : 'no';
  const assumedPct = sums.volumeL > 0 ? Math.round((100 * sums.assumedL) / sums.volumeL) : 0;
  const seen = record.drying.filter(({ from }) => from === 'seen').length;
  const count = (kind: string) => record.events.filter((one) => one.kind === kind).length;
  const today = clock.siteDayOf(record.madeAtMs);
  const rate = rateEstimate(record.site, record.runs);
  return {
    figures: [
      { what: 'Loss, mean over the beds', value: say(lossMm), note: 'by the model' },
      {
        what: 'Water that reached the ground',
        value: say(sprinklersMm + handMm),
        note: `${share} of the loss; rain ${say(rainMm)} besides`,
      },
      {
        what: 'Volume through the sprinklers',
        value: sayL(sums.volumeL),
        note: sums.runs === 0 ? 'no runs' : `${assumedPct} % of it assumed to have run`,
      },
      { what: 'By hand', value: sayL(sums.handL), note: `logged ${times(record.hand.length)}` },
      {
        what: 'Drying events',
        value: String(record.drying.length),
        note: `${seen} seen, ${record.drying.length - seen} expected by the model`,
      },
      {
        what: 'Holds, keep-offs',
        value: `${count('hold')}, ${count('keep_off')}`,
        note: `${count('confirmed_despite')} warnings confirmed despite`,
      },
    ],
    lines: [
      ...(assumedPct > 0
        ? [
            `Nothing reported ${sums.assumedRuns} of ${sums.runs} runs: they are assumed to have run as planned. A water meter or a receiver that reports would show it.`,
          ]
        : []),
      ...notRunLines(record),
      ...(rate === null
        ? []
        : [`Depths rest on rates: ${rate}. A catch-can test of each station would settle them.`]),
      ...(record.corrections.length > 0
        ? [`Corrections worked in: ${record.corrections.length}; both values stand in their table.`]
        : []),
      ...(record.days.some(({ plans }) => plans === 0)
        ? [
            `No plan was made on ${record.days.filter(({ plans }) => plans === 0).length} of ${record.days.length} days.`,
          ]
        : []),
      ...(record.days.some(({ siteDay }) => siteDay === today)
        ? [
            `Today, ${today}, is not over: its loss is of the whole day, its water of what has run so far.`,
          ]
        : []),
    ],
  };
}

function times(count: number): string {
  return count === 1 ? 'once' : `${count} times`;
}

const NOT_RUN: Readonly<Record<string, string>> = {
  missed: 'whose time had passed before they were confirmed or sent',
  withdrawn: 'withdrawn by a hold',
  missing: 'that the receiver did not report',
  rejected: 'refused by an output',
};

/** Runs that persons let out and that brought no water, by what became of them. */
function notRunLines({ runs }: SiteRecord): string[] {
  const none = runs.filter((run) => run.confirmedS > 0 && run.countedS === 0);
  if (none.length === 0) return [];
  const parts = Object.entries(NOT_RUN).flatMap(([state, words]) => {
    const count = none.filter((run) => run.corrected === null && run.state === state).length;
    return count === 0 ? [] : [`${count} ${words}`];
  });
  const corrected = none.filter((run) => run.corrected !== null).length;
  if (corrected > 0) parts.push(`${corrected} put right by a person`);
  return [`Of ${runs.length} runs ${none.length} brought no water: ${parts.join(', ')}.`];
}

/** What every report and every package says to whoever acts on it. */
export const REPORT_CAUTIONS: readonly string[] = [
  'Sprinklers start without notice: keep people, machines and open pits clear of them.',
  'Lightning: nobody in the field, and 30 minutes after the last thunder.',
  'Electricity at field boxes: a licensed electrician, with the supply locked out.',
  'Backflow and chemigation: hardware interlocks and check valves come first, and local code rules.',
  'Reclaimed water: permitted hours, signs, no ponding, no drift.',
  'Water restrictions and permits come before any plan.',
  'Frost: no water on surfaces that can freeze, and keep off white grass.',
  'Notices of disease are weather rules and no diagnoses; nothing here is advice on chemicals.',
  'Local codes, label directions and licensed practice rule; a person on the turf and hardware stops have the last word.',
];

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
