import 'uplot/dist/uPlot.min.css';
import { useEffect, useRef, useState } from 'preact/hooks';
import uPlot from 'uplot';
import type { DisplayUnits } from '../../../../adapters/display-units.ts';
import type { BedSeries, BedView } from '../views/bed-view.ts';
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
        at == null || storeMm === undefined || atMs === undefined
          ? ''
          : readoutAt(series, at, { at: time.timeOf(atMs), depth: show.depth }),
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
        {series.band == null ? null : (
          <li>
            <Swatch draw={['M0 3h22v16h-22z', HATCH]} kind="band" /> {say('page.chart.band')}
          </li>
        )}
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

/** Lines that rise to the right, as the band is hatched. */
const HATCH = 'M0 9l6 -6M0 17l14 -14M6 19l16 -16M14 19l8 -8';

function Swatch({ draw, kind }: { draw: string | readonly string[]; kind: string }) {
  return (
    <svg width="22" height="22" aria-hidden="true" class={`swatch ${kind}`}>
      {[draw].flat().map((one) => (
        <path key={one} d={one} />
      ))}
    </svg>
  );
}

/** The store under the pointer in words, with its band where there is one. */
function readoutAt(
  { storeMm, band }: BedSeries,
  step: number,
  told: { at: string; depth: (mm: number) => string },
): string {
  const { at, depth } = told;
  const here = { at, depth: depth(storeMm[step] ?? 0) };
  if (band == null) return say('page.chart.at', here);
  const least = depth(band.lowerMm[step] ?? 0);
  return say('page.chart.at.band', { ...here, least, most: depth(band.upperMm[step] ?? 0) });
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
  const { startMs, stepMin, storeMm, band, capacityMm, reserveMm } = view.series;
  const atMs = storeMm.map((_, index) => startMs + index * stepMin * 60_000);
  const level = (mm: number) => atMs.map(() => depth.of(mm));
  const stored = storeMm.map(depth.of);
  // One after the other: the water as a tint, the band over it, and the lines over both.
  const ends = band == null ? [] : [band.upperMm.map(depth.of), band.lowerMm.map(depth.of)];
  const end = { stroke: inks.dew, width: 1, points: { show: false } };
  return new uPlot(
    {
      ...plotFrame(given, { startMs, endMs: atMs.at(-1) ?? startMs }),
      width,
      height: 280,
      bands: band == null ? [] : [{ series: [2, 3], fill: () => hatching(inks) }],
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
        { width: 0, fill: inks.dewWash, fillTo: 0, points: { show: false } },
        ...ends.map(() => end),
        { stroke: inks.dew, width: 3, points: { show: false } },
        { stroke: inks.dew, width: 1.5, dash: [2, 4], points: { show: false } },
        { stroke: inks.soil, width: 1.5, dash: [9, 5], points: { show: false } },
        { stroke: inks.clay, width: 3, points: { show: false } },
      ],
      hooks: {
        setCursor: [read],
        draw: [(plot) => drawPoints(plot, given)],
      },
    },
    [atMs, stored, ...ends, stored, level(capacityMm), level(reserveMm), level(0)],
    root,
  );
}

/** Lines that rise to the right on a tint that the lines beneath shine through. */
function hatching({ dew, dewWash }: PlotColours): CanvasPattern | string {
  const side = 8 * devicePixelRatio;
  const tile = document.createElement('canvas');
  tile.width = side;
  tile.height = side;
  const ctx = tile.getContext('2d');
  if (ctx === null) return dewWash;
  ctx.globalAlpha = 0.12;
  ctx.fillStyle = dew;
  ctx.fillRect(0, 0, side, side);
  ctx.globalAlpha = 0.75;
  ctx.strokeStyle = dew;
  ctx.lineWidth = devicePixelRatio;
  ctx.beginPath();
  // The corners as well, so that lines meet from tile to tile.
  for (const shift of [-side, 0, side]) {
    ctx.moveTo(shift - 1, side + 1);
    ctx.lineTo(shift + side + 1, -1);
  }
  ctx.stroke();
  return ctx.createPattern(tile, 'repeat') ?? dewWash;
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
