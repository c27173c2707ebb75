import type { Ref } from 'preact';
import { usePage } from './page-context.ts';
import { language, say, sayWith } from './words.ts';

/** A number moved by two large buttons; no sliding, no small targets. */
export function Stepper(given: {
  name: string;
  /** The value as it reads. */
  words: string;
  value: number;
  step: number;
  atLeast: number;
  atMost: number;
  set(value: number): void;
}) {
  const { name, words, value, step, atLeast, atMost, set } = given;
  // Steps of a tenth must not gather the noise of binary fractions.
  const move = (by: number) =>
    set(Number(Math.min(atMost, Math.max(atLeast, value + by)).toFixed(6)));
  return (
    <fieldset class="stepper">
      <legend>{name}</legend>
      <button
        type="button"
        aria-label={say('page.field.less', { field: name })}
        disabled={value <= atLeast}
        onClick={() => move(-step)}
      >
        −
      </button>
      <output aria-live="polite">{words}</output>
      <button
        type="button"
        aria-label={say('page.field.more', { field: name })}
        disabled={value >= atMost}
        onClick={() => move(step)}
      >
        +
      </button>
    </fieldset>
  );
}

/** One bed of the site. */
export function BedSelect({ bedId, set }: { bedId: string; set(bedId: string): void }) {
  const { today } = usePage();
  return (
    <label>
      {say('page.bed')}
      <select value={bedId} onChange={(event) => set(event.currentTarget.value)}>
        {byName(today.beds).map((bed) => (
          <option key={bed.id} value={bed.id}>
            {bed.name}
          </option>
        ))}
      </select>
    </label>
  );
}

/** Several beds of the site. */
export function BedChecks(given: { chosen: readonly string[]; set(bedIds: string[]): void }) {
  const { chosen, set } = given;
  const { today } = usePage();
  return (
    <fieldset>
      <legend>{say('page.beds')}</legend>
      <button
        type="button"
        class="quiet"
        onClick={() =>
          set(chosen.length === today.beds.length ? [] : today.beds.map((bed) => bed.id))
        }
      >
        {say(chosen.length === today.beds.length ? 'page.field.none' : 'page.field.all')}
      </button>
      <div class="checks">
        {byName(today.beds).map((bed) => (
          <label key={bed.id} class="caution">
            <input
              type="checkbox"
              checked={chosen.includes(bed.id)}
              onChange={(event) => {
                const others = chosen.filter((one) => one !== bed.id);
                set(event.currentTarget.checked ? [...others, bed.id] : others);
              }}
            />
            <span>{bed.name}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}

/** A time of the site's clock, today or tomorrow; empty is allowed. */
export function TimeField(given: { name: string; value: string; set(value: string): void }) {
  const { name, value, set } = given;
  return (
    <label>
      {name}
      <input type="time" value={value} onInput={(event) => set(event.currentTarget.value)} />
    </label>
  );
}

/** A number that is typed: its range is too wide for buttons. */
export function NumberBox(given: { name: string; value: string; set(text: string): void }) {
  const { name, value, set } = given;
  return (
    <label>
      {name}
      <input
        inputMode="decimal"
        value={value}
        onInput={(event) => set(event.currentTarget.value.trim().replace(',', '.'))}
      />
    </label>
  );
}

export function TextField(given: {
  name: string;
  value: string;
  most?: number;
  hint?: readonly string[];
  set(value: string): void;
}) {
  const { name, value, most = 200, hint = [], set } = given;
  return (
    <>
      <label>
        {name}
        <input value={value} maxLength={most} onInput={(e) => set(e.currentTarget.value)} />
      </label>
      {hint.length === 0 ? null : (
        <div class="hints">
          {hint.map((one) => (
            <button key={one} type="button" aria-pressed={value === one} onClick={() => set(one)}>
              {one}
            </button>
          ))}
        </div>
      )}
    </>
  );
}

/** "Green 2" before "Green 10". */
export function byName<T extends { name: string }>(beds: readonly T[]): T[] {
  return beds.toSorted((a, b) => a.name.localeCompare(b.name, language(), { numeric: true }));
}

/** Who does it: typed once and kept on this device, or taken from the sign-in. */
export function NameField({ field }: { field?: Ref<HTMLInputElement> }) {
  const { who, setWho, signedIn } = usePage();
  if (signedIn) {
    return <p class="signed-in">{sayWith('page.signed_in', { who: <strong>{who}</strong> })}</p>;
  }
  return (
    <label>
      {say('page.your_name')}
      <input
        ref={field ?? null}
        value={who}
        maxLength={60}
        autoComplete="name"
        onInput={(event) => setWho(event.currentTarget.value)}
      />
    </label>
  );
}
