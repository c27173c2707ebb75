import type { ComponentChildren } from 'preact';
import { useRef, useState } from 'preact/hooks';
import type { ActionRequest, ChangeView } from '../views/change-view.ts';
import { keepChange } from './api.ts';
import { ArrivedHeading } from './arrived-heading.tsx';
import { NameField } from './name-field.tsx';
import { usePage } from './page-context.ts';
import { PreviewTable } from './preview-table.tsx';
import { pathTo } from './route.ts';
import { Texts } from './texts.tsx';
import { usePreview } from './use-preview.ts';

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
      <ArrivedHeading>{title}: kept</ArrivedHeading>
      <Texts lines={done.lines} />
      {done.changes.length === 0 ? null : (
        <>
          <h3>Against the plan before</h3>
          <Texts lines={done.changes} />
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
