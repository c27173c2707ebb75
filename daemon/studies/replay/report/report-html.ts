import { columnMeasures } from '../../../../adapters/display-units.ts';
import type { LoadedConfig } from '../../../site/config/config.ts';
import { type Reader, sayTo } from '../../../words/plan-words.ts';
import { escapeHtml } from '../../../words/safe-text.ts';
import type { ReplayedDay } from '../replay.ts';
import { figuresByBed, flowByQuarter, meanOfDay, peakFlowLPerMin } from './figures.ts';
import {
  type ReplayCaption,
  sayCoverage,
  sayForecast,
  sayInside,
  sayRevisions,
} from './replay-text.ts';
import { type Plot, svgPlot } from './svg-plot.ts';

const HOUR_MS = 3_600_000;
const QUARTER_MS = 15 * 60_000;
/** Hours of store that a small plot can still show. */
const MAX_PLOT_HOURS = 14 * 24;

/** A replay, and whom it is told to. */
interface ToldReplay {
  config: LoadedConfig;
  days: readonly ReplayedDay[];
  reader: Reader;
}

/** The replay as one page that needs nothing else: no script, no address. */
export function reportHtml(replay: ToldReplay, caption: ReplayCaption): string {
  const { config, days, reader } = replay;
  const { site } = config;
  const say = sayTo(reader);
  const { depth } = reader.show;
  const title = say('replay.title', {
    site: site.name,
    from: days[0]?.siteDay ?? '',
    to: days.at(-1)?.siteDay ?? '',
  });
  const beds = figuresByBed(site, days);
  const sum = (pick: (bed: (typeof beds)[number]) => number) =>
    beds.reduce((total, bed) => total + pick(bed), 0);
  const lossMm = sum((bed) => bed.lossMm);
  const netMm = sum((bed) => bed.netMm);
  const drained = depth(sum((bed) => bed.drainedMm) / Math.max(1, beds.length));
  const coverage = sayCoverage(days, say);
  const lines = [
    say('replay.how', {
      weather: caption.weather,
      forecast: sayForecast(caption, say),
      revisions: sayRevisions(caption, say),
    }),
    lossMm > 0
      ? say('replay.water', { pct: Math.round((100 * netMm) / lossMm), drained })
      : say('replay.water.no_loss', { drained }),
    ...(coverage === null ? [] : [coverage]),
    say('replay.estimates'),
  ];
  const perDay = Math.max(1, days.length);
  const table = htmlTable(
    [
      say('replay.column.bed'),
      say('replay.column.loss'),
      say('replay.column.net'),
      say('replay.column.share'),
      say('replay.column.drained'),
      say('replay.column.cycles_per_day'),
      say('replay.column.dry'),
      ...(coverage === null ? [] : [say('replay.column.inside')]),
    ],
    beds.map((bed) => [
      bed.name,
      depth(bed.lossMm),
      depth(bed.netMm),
      bed.lossMm > 0 ? `${Math.round((100 * bed.netMm) / bed.lossMm)} %` : '-',
      depth(bed.drainedMm),
      (bed.cycles / perDay).toFixed(1),
      String(bed.dryMin),
      ...(coverage === null ? [] : [sayInside(bed.coverage)]),
    ]),
  );
  const section = (heading: string, content: string) => `<h2>${escapeHtml(heading)}</h2>${content}`;
  const plotted = (plots: readonly Plot[]) => plots.map((plot) => svgPlot(plot, say)).join('\n');
  return [
    `<!doctype html><html lang="${reader.language}"><head><meta charset="utf-8">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    `<title>${escapeHtml(title)}</title><style>${REPORT_CSS}</style></head><body>`,
    `<h1>${escapeHtml(title)}</h1>`,
    ...lines.map((line) => `<p>${escapeHtml(line)}</p>`),
    section(say('replay.days'), plotted(dailyPlots(replay))),
    section(say('replay.flow'), plotted(flowPlots(replay))),
    section(say('replay.beds'), table),
    section(say('replay.stores'), plotted(storePlots(replay))),
    '</body></html>\n',
  ].join('\n');
}

function dailyPlots({ config, days, reader }: ToldReplay): Plot[] {
  const say = sayTo(reader);
  const { depth } = columnMeasures(config.units);
  const labels = days.map((day) => day.siteDay.slice(5));
  const mean = (pick: (outcome: ReplayedDay['outcomes'][number]) => number) =>
    days.map((day) => depth.of(meanOfDay(day, pick)));
  const bars = (name: string, tone: string, values: number[]) =>
    ({ name, kind: 'bars', tone, values }) as const;
  return [
    {
      title: say('replay.plot.depth'),
      unit: say('replay.unit.depth_per_day', { unit: depth.unit }),
      labels,
      series: [
        bars(
          say('replay.column.loss'),
          'loss',
          mean((one) => one.lossMm),
        ),
        bars(
          say('replay.column.net'),
          'water',
          mean((one) => one.netMm),
        ),
        bars(
          say('replay.column.drained'),
          'drained',
          mean((one) => one.drainedMm),
        ),
      ],
    },
    {
      title: say('replay.plot.dry'),
      unit: say('replay.unit.minutes'),
      labels,
      series: [
        bars(
          say('replay.series.dry'),
          'dry',
          days.map((day) =>
            day.outcomes.reduce((total, one) => total + one.minutesBelowDryLimit, 0),
          ),
        ),
      ],
    },
  ];
}

function flowPlots({ config, days, reader }: ToldReplay): Plot[] {
  const { site, units, clock } = config;
  const say = sayTo(reader);
  const { flow } = columnMeasures(units);
  const level = { name: say('replay.level.pump'), value: flow.of(site.limits.pumpFlowLPerMin) };
  const plot = (title: string, labels: string[], values: number[]): Plot => ({
    title,
    unit: flow.unit,
    labels,
    series: [{ name: say('replay.series.flow'), kind: 'bars', tone: 'water', values }],
    level,
  });
  const peaks = days.map((day) => flow.of(peakFlowLPerMin(site, day)));
  const byDay = plot(
    say('replay.plot.peak'),
    days.map((day) => day.siteDay.slice(5)),
    peaks,
  );
  const busiest = days[peaks.indexOf(Math.max(...peaks))];
  if (busiest === undefined) return [byDay];
  const quarters = flowByQuarter(site, busiest);
  const oneDay = plot(
    say('replay.plot.quarters', { day: busiest.siteDay }),
    quarters.map((_, index) => clock.timeOf(busiest.fromMs + index * QUARTER_MS)),
    quarters.map((one) => flow.of(one)),
  );
  return [byDay, oneDay];
}

/** Hour by hour where that can be read, else the lowest of each day. */
function storePlots({ config, days, reader }: ToldReplay): Plot[] {
  const say = sayTo(reader);
  const { depth } = columnMeasures(config.units);
  const isByHour = days.length * 24 <= MAX_PLOT_HOURS;
  return config.site.beds.map((bed): Plot => {
    const points = days.flatMap((day) => {
      const own = day.outcomes.find((one) => one.bedId === bed.id);
      const hours = own?.lowestStoreMm ?? [];
      if (!isByHour) return [{ label: day.siteDay.slice(5), mm: Math.min(...hours) }];
      return hours.map((mm, hour) => ({
        label: new Date(day.fromMs + hour * HOUR_MS).toISOString().slice(5, 10),
        mm,
      }));
    });
    return {
      title: say(isByHour ? 'replay.plot.store_by_hour' : 'replay.plot.store_by_day', {
        bed: bed.name,
      }),
      unit: depth.unit,
      labels: points.map(({ label }) => label),
      series: [
        {
          name: say('replay.series.store'),
          kind: 'line',
          tone: 'water',
          values: points.map(({ mm }) => depth.of(mm)),
        },
      ],
      level: { name: say('replay.level.dry'), value: 0 },
      height: 120,
    };
  });
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
