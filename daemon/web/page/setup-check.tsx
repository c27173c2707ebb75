import { useRef, useState } from 'preact/hooks';
import type { SetupCheckView, SetupWrittenView } from '../views/setup-view.ts';
import { writeSetup } from './api.ts';
import { NameField } from './name-field.tsx';
import { usePage } from './page-context.ts';
import { Scrolls } from './scrolls.tsx';

/** What would be written, and the button that writes exactly that. */
export function SetupCheck(given: {
  checked: SetupCheckView;
  file: string;
  written(done: SetupWrittenView): void;
}) {
  const { checked, file, written } = given;
  const { who, live } = usePage();
  const [wrong, setWrong] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const nameField = useRef<HTMLInputElement>(null);
  const { digest, problems } = checked;
  const write = async () => {
    if (digest === null) return;
    if (who.trim() === '') {
      setWrong('Give your name first.');
      nameField.current?.focus();
      return;
    }
    setBusy(true);
    const outcome = await writeSetup(digest, who);
    setBusy(false);
    if (outcome.kind === 'well') written(outcome.value);
    else if (outcome.kind === 'refused') setWrong(`Not written. ${outcome.error.message}`);
    else setWrong('Not written, as far as this page knows: the daemon does not answer.');
  };
  return (
    <section aria-labelledby="setup-check-title">
      <h3 id="setup-check-title" tabIndex={-1}>
        {problems.length > 0
          ? `Not yet: ${problems.length} ${problems.length === 1 ? 'thing is' : 'things are'} wrong`
          : checked.changed
            ? 'This would be written'
            : 'Nothing is to change'}
      </h3>
      <Lines lines={problems.map(({ path, message }) => `${path}: ${message}`)} needsPerson />
      <Lines lines={checked.warnings.map(({ path, message }) => `Look at ${path}: ${message}`)} />
      {checked.told.length === 0 ? null : (
        <details open>
          <summary>How the tables were read</summary>
          <Lines lines={checked.told} />
        </details>
      )}
      {checked.changed && problems.length === 0 ? (
        <>
          <h4>What changes in {file}</h4>
          <Scrolls label="What changes">
            <pre class="setup-text">{checked.difference.join('\n')}</pre>
          </Scrolls>
          <details>
            <summary>The whole file</summary>
            <Scrolls label="The whole file">
              <pre class="setup-text">{checked.shown}</pre>
            </Scrolls>
          </details>
          <NameField field={nameField} />
          <div role="alert">{wrong === null ? null : <p class="told wrong">{wrong}</p>}</div>
          <button
            type="button"
            class="big"
            disabled={busy || live.away || digest === null}
            onClick={() => void write()}
          >
            Write this
          </button>
          <p class="small">The file before is kept beside it under its date.</p>
        </>
      ) : null}
    </section>
  );
}

function Lines({
  lines,
  needsPerson = false,
}: {
  lines: readonly string[];
  needsPerson?: boolean;
}) {
  if (lines.length === 0) return null;
  return (
    <ul class="lines">
      {lines.map((line) => (
        <li key={line} class={needsPerson ? 'needs-person' : undefined}>
          {line}
        </li>
      ))}
    </ul>
  );
}
