import type { BedView } from '../views/bed-view.ts';
import { usePage } from './page-context.ts';
import { Texts } from './texts.tsx';

/** What a bed stands on: stage and signs, germination, the sand and its assumptions, stations, log. */
export function BedGround({ view }: { view: BedView }) {
  const { show } = usePage();
  const { stage, germination, sand, stations } = view;
  return (
    <>
      <section aria-labelledby="stage-title">
        <h3 id="stage-title">Stage: {stage.stage.replaceAll('_', ' ')}</h3>
        <p>{stage.sinceLine}</p>
        {stage.ruling === stage.stage ? null : (
          <p>Watered as {stage.ruling.replaceAll('_', ' ')}, for its slowest patch.</p>
        )}
        <Texts lines={stage.slowPatches.map((patch) => patch.line)} />
        {stage.signs.length === 0 ? null : (
          <>
            <p>
              Signs that it is ready to move on
              {stage.next === null ? '' : ` to ${stage.next.replaceAll('_', ' ')}`}:
            </p>
            <Texts lines={stage.signs} />
          </>
        )}
        <Texts lines={stage.prompts} />
      </section>
      {germination === null ? null : (
        <section aria-labelledby="germination-title">
          <h3 id="germination-title">Germination window</h3>
          <p>{germination.line}</p>
        </section>
      )}
      <section aria-labelledby="sand-title">
        <h3 id="sand-title">Sand: {sand.name}</h3>
        {sand.assumed ? (
          <p>
            <strong>Assumed:</strong> no laboratory report or own figures stand behind it.
          </p>
        ) : null}
        <Texts lines={sand.lines} />
      </section>
      <section aria-labelledby="stations-title">
        <h3 id="stations-title">Stations</h3>
        <p>The bed has {show.area(view.areaM2)}.</p>
        <Texts lines={stations.map((station) => station.line)} />
      </section>
      {view.log.length === 0 ? null : (
        <details>
          <summary>Log of this bed</summary>
          <Texts lines={view.log.map((row) => `${row.line}, ${row.who}. ${row.what}`)} />
        </details>
      )}
    </>
  );
}
