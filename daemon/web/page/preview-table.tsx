import type { BedPreview, PreviewView } from '../views/change-view.ts';
import { usePage } from './page-context.ts';
import { Scrolls } from './scrolls.tsx';
import type { Previewed } from './use-preview.ts';

/** Before and after a change, bed by bed, before anything is kept. */
export function PreviewTable({ previewed }: { previewed: Previewed }) {
  const { view, problem, busy } = previewed;
  return (
    <section class="preview" aria-labelledby="preview-title" aria-busy={busy}>
      <h3 id="preview-title">What it would do</h3>
      <div role="status">
        {problem === null ? null : <p class="told wrong">{problem}</p>}
        {view === null ? (
          <p class="small">{busy ? 'Working it out …' : 'Nothing asked for yet.'}</p>
        ) : (
          <p>{view.line}</p>
        )}
      </div>
      {view === null ? null : <BeforeAfter view={view} />}
    </section>
  );
}

function BeforeAfter({ view }: { view: PreviewView }) {
  const { time, show } = usePage();
  const changed = view.beds.filter((bed) => bed.changed);
  const { before, after } = view;
  const minutes = (runMin: number) => show.duration(runMin * 60);
  return (
    <>
      <p>
        {before === null
          ? `${after.cycles} cycles, ${minutes(after.runMin)} in all.`
          : `${before.cycles} cycles, ${minutes(before.runMin)} in all before; ${after.cycles} cycles, ${minutes(after.runMin)} after.`}
      </p>
      {after.shortages.length === 0 ? null : (
        <ul class="lines">
          {after.shortages.map((line) => (
            <li key={line} class="needs-person">
              {line}
            </li>
          ))}
        </ul>
      )}
      {changed.length === 0 ? (
        <p>No bed changes.</p>
      ) : (
        <Scrolls label="Before and after, bed by bed">
          <table class="before-after">
            <thead>
              <tr>
                <th scope="col">Bed</th>
                <th scope="col">Cycles</th>
                <th scope="col">Minutes</th>
                <th scope="col">Of the loss</th>
                <th scope="col">Lowest at {time.timeOf(view.hottestHourMs)}</th>
              </tr>
            </thead>
            <tbody>
              {changed.map((bed) => (
                <tr key={bed.id}>
                  <th scope="row">{bed.name}</th>
                  <Cell bed={bed} of="cycles" />
                  <Cell bed={bed} of="minutes" />
                  <Cell bed={bed} of="percentOfLoss" />
                  <Cell bed={bed} of="lowest" />
                </tr>
              ))}
            </tbody>
          </table>
        </Scrolls>
      )}
      {changed.length === view.beds.length || changed.length === 0 ? null : (
        <p class="small">The other {view.beds.length - changed.length} beds stay as they are.</p>
      )}
    </>
  );
}

function Cell({ bed, of }: { bed: BedPreview; of: keyof BedPreview['after']['words'] }) {
  const before = bed.before?.words[of] ?? 'none';
  const after = bed.after.words[of];
  return (
    <td>
      {before === after ? (
        after
      ) : (
        <>
          <span class="was">{before}</span>
          <span class="only-heard"> before, after </span>
          <span aria-hidden="true"> → </span>
          <strong>{after}</strong>
        </>
      )}
    </td>
  );
}
