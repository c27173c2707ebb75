import type { FieldView } from '../views/action-view.ts';
import { BedChecks, BedSelect, NumberBox, Stepper, TextField, TimeField } from './fields.tsx';
import { say } from './words.ts';

/** More steps than this are typed, not tapped. */
const MOST_STEPS = 200;

/** Letters up to which a choice is a button; longer ones are lines to choose from. */
const LONGEST_BUTTON = 24;

/** The fields of a form in their order; what is seldom needed stands folded away. */
export function ActionFields(given: {
  fields: readonly FieldView[];
  values: Readonly<Record<string, unknown>>;
  set(key: string, value: unknown): void;
  setBed(bedId: string): void;
}) {
  const { fields, values, set, setBed } = given;
  const draw = (field: FieldView) => (
    <ActionField
      key={field.key}
      field={field}
      value={values[field.key]}
      set={(value) => (field.kind === 'bed' ? setBed(String(value)) : set(field.key, value))}
    />
  );
  const more = fields.filter(({ isMore }) => isMore);
  return (
    <>
      {fields.filter(({ isMore }) => !isMore).map(draw)}
      {more.length === 0 ? null : (
        <details>
          <summary>{more.map(({ label }) => label).join(', ')}</summary>
          {more.map(draw)}
        </details>
      )}
    </>
  );
}

function ActionField(given: { field: FieldView; value: unknown; set(value: unknown): void }) {
  const { field, value, set } = given;
  const { label, hint } = field;
  switch (field.kind) {
    case 'bed':
      return <BedSelect bedId={String(value ?? '')} set={set} />;
    case 'beds':
      return <BedChecks chosen={value as string[]} set={set} />;
    case 'text':
      return (
        <TextField
          name={label}
          value={String(value ?? '')}
          most={field.atMost}
          hint={field.suggestions}
          set={set}
        />
      );
    case 'time':
      return (
        <TimeField
          name={
            hint === ''
              ? say('page.field.time', { field: label })
              : say('page.field.time_hint', { field: label, hint })
          }
          value={String(value ?? '')}
          set={set}
        />
      );
    case 'choice':
      return <Choice field={field} value={value} set={set} />;
    case 'number': {
      const { atLeast, atMost, step, perUnit, decimals, unit } = field;
      const shown = (SI: number) => String(Number((SI * perUnit).toFixed(decimals)) + 0);
      const number = typeof value === 'number' ? value : null;
      if ((atMost - atLeast) / step > MOST_STEPS) {
        return (
          <NumberBox
            name={`${label}${unit === '' ? '' : `, ${unit}`}`}
            value={number === null ? '' : shown(number)}
            set={(text) => set(text === '' ? null : Number(text) / perUnit)}
          />
        );
      }
      const sign = atLeast < 0 && number !== null && number > 0 ? '+' : '';
      return (
        <Stepper
          name={label}
          words={number === null ? '-' : `${sign}${shown(number).replace('-', '−')} ${unit}`.trim()}
          value={number ?? 0}
          step={step}
          atLeast={atLeast}
          atMost={atMost}
          set={set}
        />
      );
    }
  }
}

function Choice(given: {
  field: Extract<FieldView, { kind: 'choice' }>;
  value: unknown;
  set(value: unknown): void;
}) {
  const { field, value, set } = given;
  const isChosen = (one: unknown) => JSON.stringify(one) === JSON.stringify(value);
  const isShort = field.choices.every(({ words }) => words.length <= LONGEST_BUTTON);
  return (
    <fieldset>
      <legend>{field.label}</legend>
      <div class={isShort ? 'hints' : ''}>
        {field.choices.map((one) =>
          isShort ? (
            <button
              key={one.words}
              type="button"
              aria-pressed={isChosen(one.value)}
              onClick={() => set(one.value)}
            >
              {one.words}
            </button>
          ) : (
            <label key={one.words} class="caution">
              <input
                type="radio"
                name={field.key}
                checked={isChosen(one.value)}
                onChange={() => set(one.value)}
              />
              <span>{one.words}</span>
            </label>
          ),
        )}
      </div>
    </fieldset>
  );
}

/** The last time before now at which the site's clock read so. */
export function lastAt(
  text: string,
  nowMs: number,
  nextAt: (text: string, afterMs: number) => number | null,
): number | null {
  const DAY_MS = 24 * 3_600_000;
  const found = [nowMs - DAY_MS - 3_600_000, nowMs - DAY_MS / 2, nowMs - 3_600_000]
    .map((fromMs) => nextAt(text, fromMs))
    .filter((atMs): atMs is number => atMs !== null && atMs <= nowMs);
  return found.length === 0 ? null : Math.max(...found);
}
