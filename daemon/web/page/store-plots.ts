import uPlot from 'uplot';
import type { BedView } from '../views/bed-view.ts';
import { labelStepH } from './day-scale.ts';
import type { DepthScale } from './depth-scale.ts';
import type { Inks } from './inks.ts';
import type { SiteTime } from './site-time.ts';

const HOUR_MS = 3_600_000;
const AXIS_PX = 58;
const FONT = '15px system-ui, sans-serif';

interface Given {
  view: BedView;
  width: number;
  time: SiteTime;
  depth: DepthScale;
  inks: Inks;
  nowMs: number;
}

/** Draws the store with its limits, the cycles above it and what was seen as points. */
export function drawStore(root: HTMLElement, given: Given, read: (plot: uPlot) => void): uPlot {
  const { view, width, depth, inks } = given;
  const { startMs, stepMin, storeMm, capacityMm, reserveMm } = view.series;
  const atMs = storeMm.map((_, index) => startMs + index * stepMin * 60_000);
  const level = (mm: number) => atMs.map(() => depth.of(mm));
  return new uPlot(
    {
      ...frame(given, { startMs, endMs: atMs.at(-1) ?? startMs }),
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
export function drawLoss(root: HTMLElement, given: Given): uPlot {
  const { view, width, depth, inks } = given;
  const { startMs, stepMin, storeMm, hourStartMs, lossMm, rainMm } = view.series;
  const bars = uPlot.paths.bars?.({ size: [0.7, 60], align: 1 });
  const paths = bars === undefined ? {} : { paths: bars };
  return new uPlot(
    {
      ...frame(given, {
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
function frame(
  { time, depth, inks, width }: Given,
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

function drawPoints(plot: uPlot, given: Given): void {
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

function drawNow(plot: uPlot, { inks, nowMs }: Given): void {
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
