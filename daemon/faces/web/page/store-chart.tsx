import 'uplot/dist/uPlot.min.css';
import { useEffect, useRef, useState } from 'preact/hooks';
import uPlot from 'uplot';
import type { DisplayUnits } from '../../../../adapters/display-units.ts';
import type { BedView } from '../views/bed-view.ts';
import { labelStepH } from './day-figures.ts';
import { useWidth } from './elements.tsx';
import { usePage } from './page-context.ts';
import type { SiteTime } from './site-time.ts';
import { say } from './words.ts';

/** The store against full, reserve and dry limit; loss and rain beneath on the same hours. */
export function StoreChart({ view }: { view: BedView }) {
  const { today, time, show, live } = usePage();
  const [ref, width] = useWidth<HTMLDivElement>();
  const storeAt = useRef<HTMLDivElement>(null);
  const lossAt = useRef<HTMLDivElement>(null);
  const [readout, setReadout] = useState('');
  const { series } = view;
  const minute = Math.floor(live.nowMs / 60_000);

  // Drawn anew for a new reading, width or minute; the rest follows from these.
  useEffect(() => {
    if (width === 0 || storeAt.current === null || lossAt.current === null) return;
    const given = {
      view,
      width,
      time,
      depth: depthScale(today.site.units),
      inks: plotColours(),
      nowMs: minute * 60_000,
    };
    const read = (plot: uPlot) => {
      const at = plot.cursor.idx;
      const storeMm = at == null ? undefined : series.storeMm[at];
      const atMs = at == null ? undefined : plot.data[0]?.[at];
      setReadout(
        storeMm === undefined || atMs === undefined
          ? ''
          : say('page.chart.at', { at: time.timeOf(atMs), depth: show.depth(storeMm) }),
      );
    };
    const plots = [drawStore(storeAt.current, given, read), drawLoss(lossAt.current, given)];
    return () => {
      for (const plot of plots) plot.destroy();
    };
  }, [view, width, minute]);

  const { words } = view.bed;
  const told = say('page.chart', { ...words, bed: view.bed.name });
  return (
    <>
      <div ref={ref} class="picture" role="img" aria-label={`${told} ${say('page.table_below')}`}>
        <div ref={storeAt} />
        <p class="small chart-name">{say('page.chart.hours')}</p>
        <div ref={lossAt} />
      </div>
      <p class="small readout">{readout}</p>
      <ul class="legend">
        <li>
          <Swatch draw="M0 11h22" kind="store" /> {say('page.chart.store')}
        </li>
        <li>
          <Swatch draw="M0 11h22" kind="full" /> {say('page.chart.full', { depth: words.capacity })}
        </li>
        <li>
          <Swatch draw="M0 11h22" kind="reserve" />{' '}
          {say('page.chart.reserve', { depth: words.reserve })}
        </li>
        <li>
          <Swatch draw="M0 11h22" kind="limit" /> {say('page.chart.limit')}
        </li>
        <li>
          <Swatch draw="M5 4h12l-6 12z" kind="cycle" /> {say('page.chart.cycle')}
        </li>
        {view.looks.length === 0 ? null : (
          <li>
            <Swatch draw="M11 3l8 8-8 8-8-8z" kind="look" /> {say('page.chart.look')}
          </li>
        )}
      </ul>
    </>
  );
}

function Swatch({ draw, kind }: { draw: string; kind: string }) {
  return (
    <svg width="22" height="22" aria-hidden="true" class={`swatch ${kind}`}>
      <path d={draw} />
    </svg>
  );
}

const HOUR_MS = 3_600_000;
const AXIS_PX = 58;
const FONT = '15px system-ui, sans-serif';

interface StorePlotInput {
  view: BedView;
  width: number;
  time: SiteTime;
  depth: DepthScale;
  inks: PlotColours;
  nowMs: number;
}

/** Draws the store with its limits, the cycles above it and what was seen as points. */
function drawStore(root: HTMLElement, given: StorePlotInput, read: (plot: uPlot) => void): uPlot {
  const { view, width, depth, inks } = given;
  const { startMs, stepMin, storeMm, capacityMm, reserveMm } = view.series;
  const atMs = storeMm.map((_, index) => startMs + index * stepMin * 60_000);
  const level = (mm: number) => atMs.map(() => depth.of(mm));
  return new uPlot(
    {
      ...plotFrame(given, { startMs, endMs: atMs.at(-1) ?? startMs }),
      width,
      height: 280,
      scales: {
        x: { time: false },
        y: {
          range: (_, least, most) => {
            const room = depth.of(capacityMm) * 0.12;
            return [Math.min(least, 0) - room / 2, Math.max(most, depth.of(capacityMm)) + room];
          },
        },
      },
      series: [
        {},
        { stroke: inks.dew, width: 3, fill: inks.dewWash, fillTo: 0, points: { show: false } },
        { stroke: inks.dew, width: 1.5, dash: [2, 4], points: { show: false } },
        { stroke: inks.soil, width: 1.5, dash: [9, 5], points: { show: false } },
        { stroke: inks.clay, width: 3, points: { show: false } },
      ],
      hooks: {
        setCursor: [read],
        draw: [(plot) => drawPoints(plot, given)],
      },
    },
    [atMs, storeMm.map(depth.of), level(capacityMm), level(reserveMm), level(0)],
    root,
  );
}

/** Draws rain upwards and loss downwards, hour by hour. */
function drawLoss(root: HTMLElement, given: StorePlotInput): uPlot {
  const { view, width, depth, inks } = given;
  const { startMs, stepMin, storeMm, hourStartMs, lossMm, rainMm } = view.series;
  const bars = uPlot.paths.bars?.({ size: [0.7, 60], align: 1 });
  const paths = bars === undefined ? {} : { paths: bars };
  return new uPlot(
    {
      ...plotFrame(given, {
        startMs,
        endMs: startMs + Math.max(0, storeMm.length - 1) * stepMin * 60_000,
      }),
      width,
      height: 170,
      cursor: { show: false },
      scales: {
        x: {
          time: false,
          range: () => [startMs, startMs + (storeMm.length - 1) * stepMin * 60_000],
        },
        y: {
          range: (_, least, most) => {
            const room = Math.max(most - least, depth.of(0.2)) * 0.15;
            return [Math.min(least, 0) - room, Math.max(most, 0) + room];
          },
        },
      },
      series: [
        {},
        { ...paths, fill: inks.soft, stroke: inks.soft, width: 0, points: { show: false } },
        { ...paths, fill: inks.dew, stroke: inks.dew, width: 0, points: { show: false } },
      ],
      hooks: { draw: [(plot) => drawNow(plot, given)] },
    },
    [hourStartMs, lossMm.map((mm) => -depth.of(mm)), rainMm.map(depth.of)],
    root,
  );
}

/** Axes in the site's hours and the person's unit; the same left edge for both pictures. */
function plotFrame(
  { time, depth, inks, width }: StorePlotInput,
  span: { startMs: number; endMs: number },
): Pick<uPlot.Options, 'axes' | 'legend' | 'cursor' | 'padding'> {
  const stepH = labelStepH((span.endMs - span.startMs) / HOUR_MS, width - AXIS_PX);
  const look = { font: FONT, stroke: inks.soil, grid: { stroke: inks.line, width: 1 } };
  return {
    legend: { show: false },
    padding: [10, 16, 0, 0],
    cursor: { y: false, points: { show: false }, drag: { x: false, y: false } },
    axes: [
      {
        ...look,
        splits: () => time.hourTicks({ ...span, stepH }),
        values: (_, splits) => splits.map((atMs) => time.timeOf(atMs).slice(0, 2)),
      },
      {
        ...look,
        size: AXIS_PX,
        label: depth.unit,
        labelFont: FONT,
        labelSize: 20,
        values: (_, splits) => {
          const step = Math.abs((splits[1] ?? 1) - (splits[0] ?? 0));
          return splits.map((value) => depth.tick(Math.abs(value) < 1e-9 ? 0 : value, step));
        },
      },
    ],
  };
}

function drawPoints(plot: uPlot, given: StorePlotInput): void {
  const { view, depth, inks } = given;
  const { ctx, bbox } = plot;
  const ratio = devicePixelRatio;
  ctx.save();
  ctx.fillStyle = inks.dew;
  for (const cycle of view.cycles) {
    const x = plot.valToPos((cycle.startMs + cycle.endMs) / 2, 'x', true);
    if (x < bbox.left || x > bbox.left + bbox.width) continue;
    shape(ctx, [
      [x - 6 * ratio, bbox.top],
      [x + 6 * ratio, bbox.top],
      [x, bbox.top + 12 * ratio],
    ]);
  }
  ctx.lineWidth = 2 * ratio;
  for (const look of view.looks) {
    const x = plot.valToPos(look.atMs, 'x', true);
    if (x < bbox.left || x > bbox.left + bbox.width) continue;
    // A look without a reading has no depth: it stands on the dry limit's line.
    const y = plot.valToPos(depth.of(look.storeMm ?? 0), 'y', true);
    ctx.fillStyle = look.storeMm === null ? inks.paper : inks.soil;
    ctx.strokeStyle = inks.soil;
    shape(ctx, [
      [x, y - 7 * ratio],
      [x + 7 * ratio, y],
      [x, y + 7 * ratio],
      [x - 7 * ratio, y],
    ]);
    ctx.stroke();
  }
  ctx.restore();
  drawNow(plot, given);
}

function drawNow(plot: uPlot, { inks, nowMs }: StorePlotInput): void {
  const { ctx, bbox } = plot;
  const x = plot.valToPos(nowMs, 'x', true);
  if (x < bbox.left || x > bbox.left + bbox.width) return;
  ctx.save();
  ctx.strokeStyle = inks.soil;
  ctx.lineWidth = 3 * devicePixelRatio;
  ctx.beginPath();
  ctx.moveTo(x, bbox.top);
  ctx.lineTo(x, bbox.top + bbox.height);
  ctx.stroke();
  ctx.restore();
}

function shape(
  ctx: CanvasRenderingContext2D,
  corners: readonly (readonly [number, number])[],
): void {
  ctx.beginPath();
  corners.forEach(([x, y], index) => {
    if (index === 0) ctx.moveTo(x, y);
    else ctx.lineTo(x, y);
  });
  ctx.closePath();
  ctx.fill();
}

const MM_PER_INCH = 25.4;

/** Depths as numbers of the person's unit, for an axis. */
interface DepthScale {
  unit: string;
  of(depthMm: number): number;
  /** A value of an axis, with as many decimals as its steps need. */
  tick(value: number, step: number): string;
}

function depthScale(units: DisplayUnits): DepthScale {
  const perMm = units === 'us' ? 1 / MM_PER_INCH : 1;
  return {
    unit: units === 'us' ? 'in' : 'mm',
    of: (depthMm) => depthMm * perMm,
    tick(value, step) {
      const decimals = Math.max(0, Math.ceil(-Math.log10(Math.max(step, 1e-6)) - 1e-9));
      return (Number(value.toFixed(decimals)) + 0).toFixed(decimals);
    },
  };
}

/** The page's colours as the style sheet gives them now, for what is drawn on a canvas. */
interface PlotColours {
  soil: string;
  soft: string;
  line: string;
  dew: string;
  dewWash: string;
  clay: string;
  paper: string;
}

function plotColours(): PlotColours {
  const style = getComputedStyle(document.documentElement);
  const of = (name: string) => style.getPropertyValue(name).trim();
  return {
    soil: of('--soil'),
    soft: of('--soft'),
    line: of('--line'),
    dew: of('--dew'),
    dewWash: of('--dew-wash'),
    clay: of('--clay'),
    paper: of('--paper'),
  };
}

/** The chart in numbers, hour by hour. */
export function StoreTable({ view }: { view: BedView }) {
  const { time, show } = usePage();
  const { startMs, stepMin, storeMm, hourStartMs, lossMm, rainMm } = view.series;
  const storeAt = (atMs: number) => storeMm[Math.round((atMs - startMs) / (stepMin * 60_000))];
  return (
    <details>
      <summary>{say('page.as_table')}</summary>
      <table>
        <thead>
          <tr>
            <th scope="col">{say('page.chart.hour')}</th>
            <th scope="col">{say('page.chart.then')}</th>
            <th scope="col">{say('page.chart.loss')}</th>
            <th scope="col">{say('page.chart.rain')}</th>
          </tr>
        </thead>
        <tbody>
          {hourStartMs.map((atMs, index) => (
            <tr key={atMs}>
              <th scope="row">{time.timeOf(atMs)}</th>
              <td>{sayDepth(storeAt(atMs), show.depth)}</td>
              <td>{sayDepth(lossMm[index], show.depth)}</td>
              <td>{sayDepth(rainMm[index], show.depth)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p>{say('page.chart.limits', view.bed.words)}</p>
    </details>
  );
}

function sayDepth(depthMm: number | undefined, depth: (mm: number) => string): string {
  return depthMm === undefined ? '' : depth(depthMm);
}
