import type { BedView } from '../views/bed-view.ts';
import { usePage } from './page-context.ts';

/** The chart in numbers, hour by hour. */
export function StoreTable({ view }: { view: BedView }) {
  const { time, show } = usePage();
  const { startMs, stepMin, storeMm, hourStartMs, lossMm, rainMm } = view.series;
  const storeAt = (atMs: number) => storeMm[Math.round((atMs - startMs) / (stepMin * 60_000))];
  return (
    <details>
      <summary>The same as a table</summary>
      <table>
        <thead>
          <tr>
            <th scope="col">Hour from</th>
            <th scope="col">Store then</th>
            <th scope="col">Loss</th>
            <th scope="col">Rain</th>
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
      <p>
        Full is {view.bed.words.capacity}, the reserve {view.bed.words.reserve}; the dry limit is
        zero, below it the seedbed is drier.
      </p>
    </details>
  );
}

function sayDepth(depthMm: number | undefined, depth: (mm: number) => string): string {
  return depthMm === undefined ? '' : depth(depthMm);
}
