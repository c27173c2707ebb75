import type { BedFigures, BedPreview, PreviewView } from '../views/change-view.ts';
import { usePage } from './page-context.ts';
import { Scrolls } from './scrolls.tsx';
import { FoldedLines } from './shortage-list.tsx';
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
      <ul class="lines">
        {view.dry.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      <p>
        {before === null
          ? `${after.cycles} cycles, ${minutes(after.runMin)} in all.`
          : `${before.cycles} cycles, ${minutes(before.runMin)} in all before; ${after.cycles} cycles, ${minutes(after.runMin)} after.`}
      </p>
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
      {after.shortages.length === 0 ? (
        <p>Everything fits after it.</p>
      ) : (
        <>
          <p>
            What does not fit: {before === null ? '' : `${before.shortages.length} before, `}
            {after.shortages.length} after.
          </p>
          <FoldedLines lines={after.shortages.map((line) => ({ key: line, line }))} open={2} />
        </>
      )}
    </>
  );
}

/** A figure before and after, as short as it can be said: the heading has the unit where it can. */
function Cell({
  bed,
  of,
}: {
  bed: BedPreview;
  of: 'cycles' | 'minutes' | 'percentOfLoss' | 'lowest';
}) {
  const before = bed.before === null ? 'none' : sayFigure(bed.before, of);
  const after = sayFigure(bed.after, of);
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

function sayFigure(
  { cycles, runMin, percentOfLoss, words }: BedFigures,
  of: 'cycles' | 'minutes' | 'percentOfLoss' | 'lowest',
): string {
  if (of === 'cycles') return String(cycles);
  if (of === 'minutes') return String(Math.round(runMin * 10) / 10);
  if (of === 'percentOfLoss') {
    return percentOfLoss === null ? '-' : `${Math.round(percentOfLoss)} %`;
  }
  return words.lowest;
}
