import { useEffect, useRef, useState } from 'preact/hooks';
import type {
  SetupCheckView,
  SetupFields,
  SetupView,
  SetupWrittenView,
} from '../views/setup-view.ts';
import { checkSetup, readSetup, writeSetup } from './api.ts';
import { ScrollRegion } from './elements.tsx';
import { NameField } from './fields.tsx';
import { usePage } from './page-context.ts';
import {
  answersOf,
  problemsAt,
  SetupField,
  SetupPart,
  SetupSelect,
  type SetupTyped,
  typedFrom,
} from './setup-fields.tsx';
import { SetupPeople, SetupSand, SetupWeather } from './setup-sections.tsx';

/** The set-up: read what is there, change it, see what would be written, write it. */
export function SetupPage() {
  const [view, setView] = useState<SetupView | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [done, setDone] = useState<SetupWrittenView | null>(null);
  useEffect(() => {
    void readSetup().then((outcome) => {
      if (outcome.kind === 'well') setView(outcome.value);
      else if (outcome.kind === 'refused') setWrong(outcome.error.message);
      else setWrong('The daemon does not answer.');
    });
  }, []);
  return (
    <div class="setup">
      <h2 tabIndex={-1}>Set-up</h2>
      <div role="alert">{wrong === null ? null : <p class="told wrong">{wrong}</p>}</div>
      {done !== null ? (
        <ul class="lines" role="status">
          {done.lines.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      ) : view === null ? null : (
        <SetupForm view={view} written={setDone} />
      )}
    </div>
  );
}

function SetupForm({ view, written }: { view: SetupView; written(done: SetupWrittenView): void }) {
  const [typed, setTyped] = useState(() => typedFrom(view));
  const [checked, setChecked] = useState<SetupCheckView | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const problems = checked?.problems ?? [];
  // What was shown is what is written: another word typed, and it has to be shown again.
  const change = (part: Partial<SetupTyped>) => {
    setTyped({ ...typed, ...part });
    if (checked?.digest != null) setChecked(null);
  };
  const field = (key: keyof SetupFields, path: string) => ({
    value: typed.fields[key],
    problems: problemsAt(problems, path),
    set: (value: string) => change({ fields: { ...typed.fields, [key]: value } }),
  });
  const check = async () => {
    setBusy(true);
    const outcome = await checkSetup({ answers: answersOf(typed, view) });
    setBusy(false);
    setChecked(outcome.kind === 'well' ? outcome.value : null);
    setWrong(
      outcome.kind === 'well'
        ? null
        : outcome.kind === 'refused'
          ? outcome.error.message
          : 'The daemon does not answer.',
    );
    requestAnimationFrame(() => document.getElementById('setup-check-title')?.focus());
  };
  return (
    <form
      class="change-form"
      onSubmit={(event) => {
        event.preventDefault();
        void check();
      }}
    >
      <p>
        {view.isNew
          ? `This is the demo. What you set up here becomes a site of your own, in ${view.file}.`
          : `Changes ${view.file}. What you leave alone stays as it is, with its comments.`}
      </p>
      <SetupPart title="Site">
        <SetupField name="Name of the site" {...field('name', 'site.name')} />
        <SetupField
          name="Coordinates, typed or pasted"
          hint={'33.5, -42.1 or 33°30\'00"N 42°06\'00"W'}
          {...field('position', 'site.position')}
        />
        <SetupField
          name="Height above the sea (300 ft, 90 m)"
          {...field('elevation', 'site.elevation')}
        />
        <SetupField
          name="Time zone"
          {...(view.isNew ? { hint: 'Suggested: that of the daemon’s machine.' } : {})}
          {...field('zone', 'site.zone')}
        />
        <SetupSelect
          name="Units"
          choices={[
            { value: 'us', words: 'US (gpm, in/h, °F)' },
            { value: 'metric', words: 'metric (L/min, mm/h, °C)' },
          ]}
          {...field('units', 'units')}
        />
      </SetupPart>
      <SetupWeather
        view={view}
        typed={typed}
        problems={problems}
        set={(weather) => change({ weather })}
      />
      <SetupPart title="Pump and mains">
        <SetupField
          name="Flow of the pump at working pressure (350 gpm, 1300 L/min)"
          {...field('pumpFlow', 'supply.pump_flow')}
        />
        <SetupField
          name="Mains with a limit of their own; empty: none"
          hint="north 250 gpm; south 250 gpm"
          {...field('mains', 'supply.mains')}
        />
      </SetupPart>
      <SetupSand
        view={view}
        sand={typed.sand}
        problems={problems}
        set={(sand) => change({ sand })}
      />
      <SetupPart title="Beds and stations">
        <SetupField
          kind="table"
          name="Beds, one a line"
          hint="Type, or paste from a spreadsheet. Headings: green, area, seeded, sand. Without headings: name, area, day of seeding, sand."
          {...field('beds', 'beds')}
        />
        <SetupField
          kind="table"
          name="Stations, one a line"
          hint="Headings: valve, green, flow, rate, heads, nozzle flow, spacing, arc time, main. Without: station, green, flow, rate, seconds of a rotation, main."
          {...field('stations', 'stations')}
        />
      </SetupPart>
      <SetupPeople
        people={typed.people}
        problems={problems}
        set={(people) => change({ people, peopleChanged: true })}
      />
      <div role="alert">{wrong === null ? null : <p class="told wrong">{wrong}</p>}</div>
      <button type="submit" class="big" disabled={busy}>
        Check, and show what would be written
      </button>
      {checked === null ? null : (
        <SetupCheck checked={checked} file={view.file} written={written} />
      )}
    </form>
  );
}

/** What would be written, and the button that writes exactly that. */
function SetupCheck(given: {
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
          <ScrollRegion label="What changes">
            <pre class="setup-text">{checked.difference.join('\n')}</pre>
          </ScrollRegion>
          <details>
            <summary>The whole file</summary>
            <ScrollRegion label="The whole file">
              <pre class="setup-text">{checked.shown}</pre>
            </ScrollRegion>
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
