import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type {
  ActionRequest,
  BedFigures,
  BedPreview,
  ChangeView,
  PreviewView,
} from '../views/action-view.ts';
import { keepChange, preview } from './api.ts';
import { FocusedHeading, ScrollRegion, TextLines } from './elements.tsx';
import { NameField } from './fields.tsx';
import { FoldedLines } from './notices.tsx';
import { pathTo, usePage } from './page-context.ts';

/** One change: its fields, what it would do, and the button that keeps it. */
export function ChangeForm(given: {
  title: string;
  intro: string;
  /** Null while something is missing. */
  change: ActionRequest | null;
  /** What is missing, in words. */
  missing?: string;
  /** Whether a plan follows, and a preview of it is shown. */
  isPlanned: boolean;
  children?: ComponentChildren;
}) {
  const { title, intro, change, missing, isPlanned, children } = given;
  const { live, who, mayChange } = usePage();
  const previewed = usePreview(isPlanned ? change : null);
  const [done, setDone] = useState<ChangeView | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const nameField = useRef<HTMLInputElement>(null);

  const keep = async () => {
    if (change === null) {
      setProblem(missing ?? 'Something is missing above.');
      return;
    }
    if (who.trim() === '') {
      setProblem('Give your name first.');
      nameField.current?.focus();
      return;
    }
    setBusy(true);
    setProblem(null);
    const outcome = await keepChange(change, who);
    setBusy(false);
    if (outcome.kind === 'well') setDone(outcome.value);
    else if (outcome.kind === 'refused') setProblem(`Not kept. ${outcome.error.message}`);
    else setProblem('Not kept, as far as this page knows: the daemon does not answer.');
    await live.read();
  };

  if (done !== null) return <Kept title={title} done={done} isPlanned={isPlanned} />;
  return (
    <form
      class="change-form"
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <h2 tabIndex={-1}>{title}</h2>
      <p>{intro}</p>
      {children}
      {isPlanned ? <PreviewTable previewed={previewed} /> : null}
      <NameField field={nameField} />
      <div role="alert">{problem === null ? null : <p class="told wrong">{problem}</p>}</div>
      <button type="submit" class="big" disabled={busy || live.away || !mayChange}>
        Keep this
      </button>
      {isPlanned ? (
        <p class="small">
          It makes a new revision that is held: nothing of it runs until a person confirms it.
        </p>
      ) : null}
    </form>
  );
}

function Kept(given: { title: string; done: ChangeView; isPlanned: boolean }) {
  const { title, done, isPlanned } = given;
  return (
    <div role="status">
      <FocusedHeading>{title}: kept</FocusedHeading>
      <TextLines lines={done.lines} />
      {done.changes.length === 0 ? null : (
        <>
          <h3>Against the plan before</h3>
          <TextLines lines={done.changes} />
        </>
      )}
      {!isPlanned ? null : done.plan === null ? (
        <p>No new plan followed; the one before stands as it was.</p>
      ) : (
        <p>
          <a class="confirm next-step" href={pathTo('confirm')}>
            Read and confirm revision {done.plan.revision}
          </a>
        </p>
      )}
      <a class="next-step" href={pathTo('change')}>
        Another change
      </a>
    </div>
  );
}

/** Before and after a change, bed by bed, before anything is kept. */
function PreviewTable({ previewed }: { previewed: Previewed }) {
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
        <ScrollRegion label="Before and after, bed by bed">
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
        </ScrollRegion>
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

/** Taps that follow one another this fast are one thought. */
const SETTLE_MS = 150;

interface Previewed {
  view: PreviewView | null;
  problem: string | null;
  /** Being worked out: what is shown belongs to the thought before. */
  busy: boolean;
}

/** What a change would do, worked out anew with each thought; nothing of it is kept. */
function usePreview(change: ActionRequest | null): Previewed {
  const [previewed, setPreviewed] = useState<Previewed>({
    view: null,
    problem: null,
    busy: false,
  });
  const thought = change === null ? '' : JSON.stringify(change);
  useEffect(() => {
    if (thought === '') {
      setPreviewed({ view: null, problem: null, busy: false });
      return;
    }
    let isCurrent = true;
    setPreviewed((before) => ({ ...before, busy: true }));
    const timer = setTimeout(async () => {
      const outcome = await preview(JSON.parse(thought) as ActionRequest);
      if (!isCurrent) return;
      if (outcome.kind === 'well') {
        setPreviewed({ view: outcome.value, problem: null, busy: false });
        return;
      }
      const problem =
        outcome.kind === 'away' ? 'The daemon does not answer.' : outcome.error.message;
      setPreviewed({ view: null, problem, busy: false });
    }, SETTLE_MS);
    return () => {
      isCurrent = false;
      clearTimeout(timer);
    };
  }, [thought]);
  return previewed;
}
