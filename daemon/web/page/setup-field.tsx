import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';
import type { SetupProblem } from '../views/setup-view.ts';

interface FieldParts {
  name: string;
  hint?: string;
  problems?: readonly SetupProblem[];
}

/** One field with its hint and with what is wrong with it beside it. */
export function SetupField(
  given: FieldParts & {
    value: string;
    kind?: 'text' | 'password' | 'table';
    set(value: string): void;
  },
) {
  const { name, value, kind = 'text', hint, problems = [], set } = given;
  const id = useId();
  const described = describedBy(id, { hint, problems });
  const shared = { id, value, 'aria-invalid': problems.length > 0, ...described };
  return (
    <div class="setup-field">
      <label for={id}>{name}</label>
      <Hint id={id} hint={hint} />
      {kind === 'table' ? (
        <textarea
          {...shared}
          rows={Math.min(14, Math.max(5, value.split('\n').length + 1))}
          spellcheck={false}
          wrap="off"
          onInput={(event) => set(event.currentTarget.value)}
        />
      ) : kind === 'password' ? (
        <input
          {...shared}
          type="password"
          autoComplete="new-password"
          maxLength={64}
          onInput={(event) => set(event.currentTarget.value)}
        />
      ) : (
        <input {...shared} maxLength={200} onInput={(event) => set(event.currentTarget.value)} />
      )}
      <Wrong id={id} problems={problems} />
    </div>
  );
}

/** A choice of a few, as a list that opens. */
export function SetupSelect(
  given: FieldParts & {
    value: string;
    choices: readonly { value: string; words: string }[];
    set(value: string): void;
  },
) {
  const { name, value, choices, hint, problems = [], set } = given;
  const id = useId();
  return (
    <div class="setup-field">
      <label for={id}>{name}</label>
      <Hint id={id} hint={hint} />
      <select
        id={id}
        value={value}
        {...describedBy(id, { hint, problems })}
        onChange={(event) => set(event.currentTarget.value)}
      >
        {choices.map((one) => (
          <option key={one.value} value={one.value}>
            {one.words}
          </option>
        ))}
      </select>
      <Wrong id={id} problems={problems} />
    </div>
  );
}

/** A part of the set-up under its heading. */
export function SetupPart({ title, children }: { title: string; children: ComponentChildren }) {
  return (
    <fieldset class="setup-part">
      <legend>{title}</legend>
      {children}
    </fieldset>
  );
}

function describedBy(
  id: string,
  { hint, problems }: { hint: string | undefined; problems: readonly SetupProblem[] },
) {
  const ids = [
    ...(hint === undefined ? [] : [`${id}-hint`]),
    ...(problems.length === 0 ? [] : [`${id}-wrong`]),
  ];
  return ids.length === 0 ? {} : { 'aria-describedby': ids.join(' ') };
}

function Hint({ id, hint }: { id: string; hint: string | undefined }) {
  return hint === undefined ? null : (
    <p class="small" id={`${id}-hint`}>
      {hint}
    </p>
  );
}

function Wrong({ id, problems }: { id: string; problems: readonly SetupProblem[] }) {
  if (problems.length === 0) return null;
  return (
    <ul class="lines setup-wrong" id={`${id}-wrong`}>
      {problems.slice(0, 12).map(({ path, message }) => (
        <li key={`${path} ${message}`} class="needs-person">
          {path}: {message}
        </li>
      ))}
    </ul>
  );
}
