import type { BedView } from '../views/bed-view.ts';
import { BedCycles, BedLooks } from './bed-cycles.tsx';
import { BedGround } from './bed-ground.tsx';
import { StoreBar } from './bed-list.tsx';
import { usePage } from './page-context.ts';
import { pathTo } from './route.ts';
import { StoreChart } from './store-chart.tsx';
import { StoreTable } from './store-table.tsx';
import { useBed } from './use-bed.ts';

const ACTIONS = [
  { kind: 'look', words: 'Log a look' },
  { kind: 'rotation', words: 'One more rotation' },
  { kind: 'water', words: 'Log hand water' },
  { kind: 'trim', words: 'Trim' },
  { kind: 'keep-off', words: 'Keep off' },
  { kind: 'stage', words: 'Stage' },
] as const;

/** One bed: its store through the day, every cycle with its reason, sand, germination and stage. */
export function BedPage({ bedId }: { bedId: string }) {
  const { today, live, time } = usePage();
  const { view, problem } = useBed(bedId, `${today.version} ${Math.floor(live.nowMs / 60_000)}`);
  const known = today.beds.find((bed) => bed.id === bedId);
  if (view === null) {
    return (
      <div>
        <h2 tabIndex={-1}>{known?.name ?? bedId}</h2>
        <p role="status">{problem ?? 'Reading this bed …'}</p>
      </div>
    );
  }
  return (
    <div class="bed-page">
      <BedTop view={view} />
      {live.away ? <p class="small">This bed was read at {time.timeOf(view.nowMs)}.</p> : null}
      <section aria-labelledby="store-title">
        <h3 id="store-title">Water in the seedbed</h3>
        <StoreChart view={view} />
        <StoreTable view={view} />
      </section>
      <BedCycles view={view} />
      <BedLooks view={view} />
      <BedGround view={view} />
    </div>
  );
}

function BedTop({ view }: { view: BedView }) {
  const { mayChange } = usePage();
  const { bed } = view;
  const { words } = bed;
  return (
    <>
      <h2 tabIndex={-1}>{bed.name}</h2>
      <p class={bed.severity === 'danger' || bed.severity === 'warn' ? 'dry clay' : 'dry'}>
        {bed.dryLine}
        {bed.held ? <span class="tag">on hold</span> : null}
        {bed.keptOff ? <span class="tag">kept off</span> : null}
      </p>
      <StoreBar bed={bed} />
      <p>
        {words.store} of {words.capacity} left above the dry limit, {words.next}. The day loses{' '}
        {words.loss}, {bed.cycles} {bed.cycles === 1 ? 'cycle brings' : 'cycles bring'} {words.net}{' '}
        ({words.percentOfLoss} of the loss), {words.drained} drains below; lowest {words.lowest}.
      </p>
      {bed.notes.length === 0 ? null : (
        <ul class="lines">
          {bed.notes.map((note) => (
            <li key={note} class="needs-person">
              {note}
            </li>
          ))}
        </ul>
      )}
      {mayChange ? (
        <nav class="actions" aria-label={`Change ${bed.name}`}>
          {ACTIONS.map(({ kind, words: action }) => (
            <a key={kind} class="next-step" href={pathTo('change', kind, bed.id)}>
              {action}
            </a>
          ))}
        </nav>
      ) : null}
    </>
  );
}
