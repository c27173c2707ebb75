import type { BedView } from '../views/bed-view.ts';
import { usePage } from './page-context.ts';
import { say } from './words.ts';

/** The chart in numbers, hour by hour. */
export function StoreTable({ view }: { view: BedView }) {
  const { time, show } = usePage();
  const { startMs, stepMin, storeMm, band, hourStartMs, lossMm, rainMm } = view.series;
  const stepOf = (atMs: number) => Math.round((atMs - startMs) / (stepMin * 60_000));
  const bandAt = (atMs: number) => {
    const least = band?.lowerMm[stepOf(atMs)];
    const most = band?.upperMm[stepOf(atMs)];
    if (least === undefined || most === undefined) return '';
    return say('page.chart.between', { least: show.depth(least), most: show.depth(most) });
  };
  return (
    <details>
      <summary>{say('page.as_table')}</summary>
      <table>
        <thead>
          <tr>
            <th scope="col">{say('page.chart.hour')}</th>
            <th scope="col">{say('page.chart.then')}</th>
            {band == null ? null : <th scope="col">{say('page.chart.nine_in_ten')}</th>}
            <th scope="col">{say('page.chart.loss')}</th>
            <th scope="col">{say('page.chart.rain')}</th>
          </tr>
        </thead>
        <tbody>
          {hourStartMs.map((atMs, index) => (
            <tr key={atMs}>
              <th scope="row">{time.timeOf(atMs)}</th>
              <td>{sayDepth(storeMm[stepOf(atMs)], show.depth)}</td>
              {band == null ? null : <td>{bandAt(atMs)}</td>}
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
