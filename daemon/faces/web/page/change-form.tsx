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
import { say } from './words.ts';

/** One change: its fields, what it would do, and the button that keeps it. */
export function ChangeForm(given: {
  title: string;
  intro: string;
  /** Null while something is missing. */
  change: ActionRequest | null;
  /** What is missing, in words. */
  missing: string;
  /** Whether a plan follows, and a preview of it is shown. */
  isPlanned: boolean;
  /** Whether the plan that follows is what it is about: its confirm comes next, with nothing between. */
  leadsToConfirm: boolean;
  children?: ComponentChildren;
}) {
  const { title, intro, change, missing, isPlanned, leadsToConfirm, children } = given;
  const { live, who, mayChange } = usePage();
  const previewed = usePreview(isPlanned ? change : null);
  const [done, setDone] = useState<ChangeView | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const nameField = useRef<HTMLInputElement>(null);

  const keep = async () => {
    if (change === null) {
      setProblem(missing);
      return;
    }
    if (who.trim() === '') {
      setProblem(say('page.your_name.first'));
      nameField.current?.focus();
      return;
    }
    setBusy(true);
    setProblem(null);
    const outcome = await keepChange(change, who);
    setBusy(false);
    const isOn = leadsToConfirm && outcome.kind === 'well' && outcome.value.plan !== null;
    if (outcome.kind === 'well' && !isOn) setDone(outcome.value);
    if (outcome.kind === 'refused') {
      setProblem(say('page.change.refused', { message: outcome.error.message }));
    }
    if (outcome.kind === 'away') setProblem(say('page.change.unheard'));
    await live.read();
    // The confirm begins with the plan that was just read.
    if (isOn) location.hash = pathTo('confirm');
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
        {say(leadsToConfirm ? 'page.release.keep' : 'page.change.keep')}
      </button>
      {isPlanned ? <p class="small">{say('page.change.held')}</p> : null}
    </form>
  );
}

function Kept(given: { title: string; done: ChangeView; isPlanned: boolean }) {
  const { title, done, isPlanned } = given;
  return (
    <div role="status">
      <FocusedHeading>{say('page.kept', { action: title })}</FocusedHeading>
      <TextLines lines={done.lines} />
      {done.changes.length === 0 ? null : (
        <>
          <h3>{say('page.kept.against')}</h3>
          <TextLines lines={done.changes} />
        </>
      )}
      {!isPlanned ? null : done.plan === null ? (
        <p>{say('page.kept.no_plan')}</p>
      ) : (
        <p>
          <a class="confirm next-step" href={pathTo('confirm')}>
            {say('page.kept.confirm', { plan: done.plan.revision })}
          </a>
        </p>
      )}
      <a class="next-step" href={pathTo('change')}>
        {say('page.kept.another')}
      </a>
    </div>
  );
}

/** Before and after a change, bed by bed, before anything is kept. */
function PreviewTable({ previewed }: { previewed: Previewed }) {
  const { view, problem, busy } = previewed;
  return (
    <section class="preview" aria-labelledby="preview-title" aria-busy={busy}>
      <h3 id="preview-title">{say('page.preview')}</h3>
      <div role="status">
        {problem === null ? null : <p class="told wrong">{problem}</p>}
        {view === null ? (
          <p class="small">{say(busy ? 'page.preview.busy' : 'page.preview.nothing')}</p>
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
  const sums = { cycles: after.cycles, duration: show.duration(after.runMin * 60) };
  return (
    <>
      <ul class="lines">
        {view.dry.map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
      <p>
        {before === null
          ? say('page.preview.sum', sums)
          : say('page.preview.sums', {
              ...sums,
              cyclesBefore: before.cycles,
              durationBefore: show.duration(before.runMin * 60),
            })}
      </p>
      {changed.length === 0 ? (
        <p>{say('page.preview.same')}</p>
      ) : (
        <ScrollRegion label={say('page.preview.table')}>
          <table class="before-after">
            <thead>
              <tr>
                <th scope="col">{say('page.bed')}</th>
                <th scope="col">{say('page.cycles')}</th>
                <th scope="col">{say('page.preview.minutes')}</th>
                <th scope="col">{say('page.preview.of_loss')}</th>
                <th scope="col">
                  {say('page.preview.lowest', { at: time.timeOf(view.hottestHourMs) })}
                </th>
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
        <p class="small">
          {say('page.preview.others', { beds: view.beds.length - changed.length })}
        </p>
      )}
      {after.shortages.length === 0 ? (
        <p>{say('page.preview.fits')}</p>
      ) : (
        <>
          <p>
            {before === null
              ? say('page.fit.count', { count: after.shortages.length })
              : say('page.preview.short', {
                  before: before.shortages.length,
                  after: after.shortages.length,
                })}
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
  const before = bed.before === null ? say('page.preview.none') : sayFigure(bed.before, of);
  const after = sayFigure(bed.after, of);
  return (
    <td>
      {before === after ? (
        after
      ) : (
        <>
          <span class="was">{before}</span>
          <span class="only-heard"> {say('page.preview.then')} </span>
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
      const problem = outcome.kind === 'away' ? say('page.away') : outcome.error.message;
      setPreviewed({ view: null, problem, busy: false });
    }, SETTLE_MS);
    return () => {
      isCurrent = false;
      clearTimeout(timer);
    };
  }, [thought]);
  return previewed;
}
