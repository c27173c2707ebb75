import type { BedView } from '../views/bed-view.ts';
import { usePage } from './page-context.ts';
import { StateLegend, StateMark } from './state-mark.tsx';

/** Every cycle of a bed with its state and its reason in a sentence. */
export function BedCycles({ view }: { view: BedView }) {
  const { time, show } = usePage();
  const { cycles, keepOffs } = view;
  return (
    <section aria-labelledby="cycles-title">
      <h3 id="cycles-title">Cycles</h3>
      {cycles.length === 0 ? <p>No cycle in this plan.</p> : null}
      <ol class="lines cycles">
        {cycles.map((one) => (
          <li key={`${one.cycle} ${one.startMs}`}>
            <svg width="22" height="22" aria-hidden="true">
              <StateMark state={one.state} x={11} y={11} />
            </svg>
            <div>
              <strong>{time.timeOf(one.startMs)}</strong> ({one.sun}), {one.watering},{' '}
              {show.depth(one.netMm)}: {one.stateWords}.<br />
              <span class="small">{one.reason}</span>
            </div>
          </li>
        ))}
      </ol>
      <StateLegend states={new Set(cycles.map((one) => one.state))} />
      {keepOffs.length === 0 ? null : (
        <ul class="lines">
          {keepOffs.map((off) => (
            <li key={`${off.startMs} ${off.why}`}>
              Kept off from {time.timeOf(off.startMs)} to {time.timeOf(off.endMs)}: {off.why}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

/** What persons saw on this bed. */
export function BedLooks({ view }: { view: BedView }) {
  if (view.looks.length === 0) return null;
  return (
    <section aria-labelledby="looks-title">
      <h3 id="looks-title">Looks</h3>
      <ul class="lines">
        {view.looks.map((look) => (
          <li key={`${look.atMs} ${look.line}`}>{look.line}</li>
        ))}
      </ul>
    </section>
  );
}
