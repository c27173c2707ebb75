import 'uplot/dist/uPlot.min.css';
import { useEffect, useRef, useState } from 'preact/hooks';
import type uPlot from 'uplot';
import type { BedView } from '../views/bed-view.ts';
import { depthScale } from './depth-scale.ts';
import { readInks } from './inks.ts';
import { usePage } from './page-context.ts';
import { drawLoss, drawStore } from './store-plots.ts';
import { useWidth } from './use-width.ts';

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
      inks: readInks(),
      nowMs: minute * 60_000,
    };
    const read = (plot: uPlot) => {
      const at = plot.cursor.idx;
      const storeMm = at == null ? undefined : series.storeMm[at];
      const atMs = at == null ? undefined : plot.data[0]?.[at];
      setReadout(
        storeMm === undefined || atMs === undefined
          ? ''
          : `${time.timeOf(atMs)}: ${show.depth(storeMm)} above the dry limit`,
      );
    };
    const plots = [drawStore(storeAt.current, given, read), drawLoss(lossAt.current, given)];
    return () => {
      for (const plot of plots) plot.destroy();
    };
  }, [view, width, minute]);

  const words = `Expected water in the seedbed of ${view.bed.name} above its dry limit: now ${view.bed.words.store}, full ${view.bed.words.capacity}, lowest ${view.bed.words.lowest}. The table below says the same.`;
  return (
    <>
      <div ref={ref} class="picture" role="img" aria-label={words}>
        <div ref={storeAt} />
        <p class="small chart-name">Rain upwards, loss downwards, each hour:</p>
        <div ref={lossAt} />
      </div>
      <p class="small readout">{readout}</p>
      <ul class="legend">
        <li>
          <Swatch draw="M0 11h22" kind="store" /> expected store
        </li>
        <li>
          <Swatch draw="M0 11h22" kind="full" /> full, {view.bed.words.capacity}
        </li>
        <li>
          <Swatch draw="M0 11h22" kind="reserve" /> reserve, {view.bed.words.reserve}
        </li>
        <li>
          <Swatch draw="M0 11h22" kind="limit" /> dry limit
        </li>
        <li>
          <Swatch draw="M5 4h12l-6 12z" kind="cycle" /> cycle
        </li>
        {view.looks.length === 0 ? null : (
          <li>
            <Swatch draw="M11 3l8 8-8 8-8-8z" kind="look" /> look or probe reading
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
