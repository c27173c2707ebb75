import { display } from '../../../../adapters/display-units.ts';
import type { LoadedConfig } from '../../../site/config/config.ts';
import { escapeHtml } from '../../../words/safe-text.ts';
import type { ReplayedDay } from '../replay.ts';
import { figuresByBed, flowByQuarter, meanOfDay, peakFlowLPerMin } from './figures.ts';
import { svgPlot } from './svg-plot.ts';

const HOUR_MS = 3_600_000;
const MM_PER_INCH = 25.4;
const L_PER_GALLON = 3.785411784;
/** Hours of store that a small plot can still show. */
const MAX_PLOT_HOURS = 14 * 24;

/** How the days were replayed, in the words of the command line. */
export interface ReplayCaption {
  forecast: string;
  revisions: string;
  weather: string;
}

/** The replay as one page that needs nothing else: no script, no address. */
export function reportHtml(
  config: LoadedConfig,
  days: readonly ReplayedDay[],
  told: ReplayCaption,
): string {
  const { site, units } = config;
  const show = display(units);
  const first = days[0]?.siteDay ?? '';
  const last = days.at(-1)?.siteDay ?? '';
  const title = `${site.name}: replay ${first} to ${last}`;
  const beds = figuresByBed(site, days);
  const sum = (pick: (bed: (typeof beds)[number]) => number) =>
    beds.reduce((total, bed) => total + pick(bed), 0);
  const perDay = Math.max(1, days.length);
  const lines = [
    `Weather: ${told.weather}. Forecast: ${told.forecast}. Revisions: ${told.revisions}.`,
    `Net water came to ${percent(
      sum((bed) => bed.netMm),
      sum((bed) => bed.lossMm),
    )} of the loss; ${show.depth(sum((bed) => bed.drainedMm) / Math.max(1, beds.length))} a bed drained below the seedbed.`,
    'Stores, losses and dry minutes are the planning model’s under the weather as it was: estimates, not measurements.',
  ];
  const table = htmlTable(
    ['bed', 'loss', 'net water', 'of loss', 'drained', 'cycles a day', 'dry minutes'],
    beds.map((bed) => [
      bed.name,
      show.depth(bed.lossMm),
      show.depth(bed.netMm),
      percent(bed.netMm, bed.lossMm),
      show.depth(bed.drainedMm),
      (bed.cycles / perDay).toFixed(1),
      String(bed.dryMin),
    ]),
  );
  return [
    '<!doctype html><html lang="en"><head><meta charset="utf-8">',
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<title>${escapeHtml(title)}</title><style>${REPORT_CSS}</style></head><body>`,
    `<h1>${escapeHtml(title)}</h1>`,
    ...lines.map((line) => `<p>${escapeHtml(line)}</p>`),
    `<h2>Day by day</h2>${dailyPlots(config, days)}`,
    `<h2>Flow against the pump</h2>${flowPlots(config, days)}`,
    `<h2>By bed</h2>${table}`,
    `<h2>Store of each bed</h2>${storePlots(config, days)}`,
    '</body></html>\n',
  ].join('\n');
}

function dailyPlots({ units }: LoadedConfig, days: readonly ReplayedDay[]): string {
  const depth = depthUnit(units);
  const labels = days.map((day) => day.siteDay.slice(5));
  const mean = (pick: (outcome: ReplayedDay['outcomes'][number]) => number) =>
    days.map((day) => meanOfDay(day, pick) / depth.mm);
  return [
    svgPlot({
      title: 'Loss and water, mean over the beds',
      unit: `${depth.name} a day`,
      labels,
      series: [
        { name: 'loss', kind: 'bars', tone: 'loss', values: mean((one) => one.lossMm) },
        { name: 'net water', kind: 'bars', tone: 'water', values: mean((one) => one.netMm) },
        { name: 'drained', kind: 'bars', tone: 'drained', values: mean((one) => one.drainedMm) },
      ],
    }),
    svgPlot({
      title: 'Dry minutes in daylight, all beds together',
      unit: 'minutes',
      labels,
      series: [
        {
          name: 'past the dry limit',
          kind: 'bars',
          tone: 'dry',
          values: days.map((day) =>
            day.outcomes.reduce((total, one) => total + one.minutesBelowDryLimit, 0),
          ),
        },
      ],
    }),
  ].join('\n');
}

function flowPlots({ site, units, clock }: LoadedConfig, days: readonly ReplayedDay[]): string {
  const flow = units === 'us' ? { name: 'gpm', l: L_PER_GALLON } : { name: 'L/min', l: 1 };
  const level = { name: 'pump', value: site.limits.pumpFlowLPerMin / flow.l };
  const peaks = days.map((day) => peakFlowLPerMin(site, day) / flow.l);
  const busiest = days[peaks.indexOf(Math.max(...peaks))];
  const byDay = svgPlot({
    title: 'Greatest flow of each day',
    unit: flow.name,
    labels: days.map((day) => day.siteDay.slice(5)),
    series: [{ name: 'flow', kind: 'bars', tone: 'water', values: peaks }],
    level,
  });
  if (busiest === undefined) return byDay;
  const quarters = flowByQuarter(site, busiest);
  const oneDay = svgPlot({
    title: `Mean flow of each quarter of an hour on ${busiest.siteDay}`,
    unit: flow.name,
    labels: quarters.map((_, index) => clock.timeOf(busiest.fromMs + index * 15 * 60_000)),
    series: [
      { name: 'flow', kind: 'bars', tone: 'water', values: quarters.map((one) => one / flow.l) },
    ],
    level,
  });
  return `${byDay}\n${oneDay}`;
}

/** Hour by hour where that can be read, else the lowest of each day. */
function storePlots({ site, units }: LoadedConfig, days: readonly ReplayedDay[]): string {
  const depth = depthUnit(units);
  const isByHour = days.length * 24 <= MAX_PLOT_HOURS;
  return site.beds
    .map((bed) => {
      const points = days.flatMap((day) => {
        const own = day.outcomes.find((one) => one.bedId === bed.id);
        const hours = own?.lowestStoreMm ?? [];
        if (!isByHour) return [{ label: day.siteDay.slice(5), mm: Math.min(...hours) }];
        return hours.map((mm, hour) => ({
          label: new Date(day.fromMs + hour * HOUR_MS).toISOString().slice(5, 10),
          mm,
        }));
      });
      return svgPlot({
        title: `${bed.name}: lowest store of each ${isByHour ? 'hour' : 'day'}`,
        unit: depth.name,
        labels: points.map(({ label }) => label),
        series: [
          {
            name: 'store',
            kind: 'line',
            tone: 'water',
            values: points.map(({ mm }) => mm / depth.mm),
          },
        ],
        level: { name: 'dry limit', value: 0 },
        height: 120,
      });
    })
    .join('\n');
}

function depthUnit(units: LoadedConfig['units']): { name: string; mm: number } {
  return units === 'us' ? { name: 'inches', mm: MM_PER_INCH } : { name: 'mm', mm: 1 };
}

function percent(part: number, of: number): string {
  return of > 0 ? `${Math.round((100 * part) / of)} %` : 'none';
}

/** A table with a heading row; every cell is escaped. */
function htmlTable(heading: readonly string[], rows: readonly (readonly string[])[]): string {
  const cells = (row: readonly string[], tag: 'th scope="col"' | 'td') =>
    row.map((cell) => `<${tag}>${escapeHtml(cell)}</${tag.slice(0, 2)}>`).join('');
  return `<div class="wide"><table><thead><tr>${cells(heading, 'th scope="col"')}</tr></thead><tbody>${rows
    .map((row) => `<tr>${cells(row, 'td')}</tr>`)
    .join('')}</tbody></table></div>`;
}

/** Plain on a screen and on paper, in light and dark. */
const REPORT_CSS = `
:root{color-scheme:light dark;--ink:#1d2522;--paper:#fff;--faint:#c9d0cc;--water:#1f6fb2;--loss:#b5651d;--drained:#7b8794;--dry:#b3261e}
@media(prefers-color-scheme:dark){:root{--ink:#e6ebe8;--paper:#141a17;--faint:#3a4440;--water:#6bb1ee;--loss:#e0a060;--drained:#9aa5b1;--dry:#ff897d}}
body{font:1rem/1.5 system-ui,sans-serif;color:var(--ink);background:var(--paper);max-width:60rem;margin:1.5rem auto;padding:0 1rem}
h1{font-size:1.5rem}h2{font-size:1.15rem;margin-top:2rem}
table{border-collapse:collapse;width:100%}.wide{overflow-x:auto}
th,td{text-align:right;padding:.3rem .6rem;border-bottom:1px solid var(--faint)}th:first-child,td:first-child{text-align:left}
figure{margin:1rem 0;break-inside:avoid}figcaption{font-weight:600}
svg{width:100%;height:auto}svg text{font-size:11px;fill:var(--ink)}.mid{text-anchor:middle}.end{text-anchor:end}
.grid{stroke:var(--faint);stroke-width:1}.level{stroke:var(--dry);stroke-width:1.5;stroke-dasharray:6 4}
.line{fill:none;stroke-width:1.5}.line.water{stroke:var(--water)}
.bars.water{fill:var(--water)}.bars.loss{fill:var(--loss)}.bars.drained{fill:var(--drained)}.bars.dry{fill:var(--dry)}
.key{font-weight:400;margin-left:.8rem}.key::before{content:"";display:inline-block;width:.8em;height:.8em;margin-right:.3em;background:currentColor}
.key.water::before{background:var(--water)}.key.loss::before{background:var(--loss)}.key.drained::before{background:var(--drained)}.key.dry::before,.key.limit::before{background:var(--dry)}
`;
