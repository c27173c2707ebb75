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
import { say } from './words.ts';

/** The set-up: read what is there, change it, see what would be written, write it. */
export function SetupPage() {
  const [view, setView] = useState<SetupView | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [done, setDone] = useState<SetupWrittenView | null>(null);
  useEffect(() => {
    void readSetup().then((outcome) => {
      if (outcome.kind === 'well') setView(outcome.value);
      else if (outcome.kind === 'refused') setWrong(outcome.error.message);
      else setWrong(say('page.away'));
    });
  }, []);
  return (
    <div class="setup">
      <h2 tabIndex={-1}>{say('page.room.setup')}</h2>
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

const POSITIONS = { decimal: '33.5, -42.1', degrees: '33°30\'00"N 42°06\'00"W' };
/** Words of the tables' own heads: the daemon knows them in any language of the page. */
const BED_HEADINGS = 'green, area, seeded, sand';
const STATION_HEADINGS = 'valve, green, flow, rate, heads, nozzle flow, spacing, arc time, main';

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
          : say('page.away'),
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
      <p>{say(view.isNew ? 'page.setup.is_new' : 'page.setup.changes', { file: view.file })}</p>
      <SetupPart title={say('page.setup.site')}>
        <SetupField name={say('page.setup.name')} {...field('name', 'site.name')} />
        <SetupField
          name={say('page.setup.position')}
          hint={say('page.setup.position.hint', POSITIONS)}
          {...field('position', 'site.position')}
        />
        <SetupField name={say('page.setup.elevation')} {...field('elevation', 'site.elevation')} />
        <SetupField
          name={say('page.setup.zone')}
          {...(view.isNew ? { hint: say('page.setup.zone.hint') } : {})}
          {...field('zone', 'site.zone')}
        />
        <SetupSelect
          name={say('page.setup.units')}
          choices={[
            { value: 'us', words: say('page.setup.units.us') },
            { value: 'metric', words: say('page.setup.units.metric') },
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
      <SetupPart title={say('page.setup.supply')}>
        <SetupField name={say('page.setup.pump')} {...field('pumpFlow', 'supply.pump_flow')} />
        <SetupField
          name={say('page.setup.mains')}
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
      <SetupPart title={say('page.setup.beds_and_stations')}>
        <SetupField
          kind="table"
          name={say('page.setup.beds')}
          hint={say('page.setup.beds.hint', { headings: BED_HEADINGS })}
          {...field('beds', 'beds')}
        />
        <SetupField
          kind="table"
          name={say('page.setup.stations')}
          hint={say('page.setup.stations.hint', { headings: STATION_HEADINGS })}
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
        {say('page.setup.check')}
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
      setWrong(say('page.your_name.first'));
      nameField.current?.focus();
      return;
    }
    setBusy(true);
    const outcome = await writeSetup(digest, who);
    setBusy(false);
    if (outcome.kind === 'well') written(outcome.value);
    else if (outcome.kind === 'refused') {
      setWrong(say('page.setup.refused', { message: outcome.error.message }));
    } else setWrong(say('page.setup.unheard'));
  };
  return (
    <section aria-labelledby="setup-check-title">
      <h3 id="setup-check-title" tabIndex={-1}>
        {problems.length > 0
          ? say('page.setup.wrong', { count: problems.length })
          : say(checked.changed ? 'page.setup.would_write' : 'page.setup.no_change')}
      </h3>
      <Lines lines={problems.map(({ path, message }) => `${path}: ${message}`)} needsPerson />
      <Lines
        lines={checked.warnings.map(({ path, message }) =>
          say('page.setup.look_at', { path, message }),
        )}
      />
      {checked.told.length === 0 ? null : (
        <details open>
          <summary>{say('page.setup.tables')}</summary>
          <Lines lines={checked.told} />
        </details>
      )}
      {checked.changed && problems.length === 0 ? (
        <>
          <h4>{say('page.setup.difference', { file })}</h4>
          <ScrollRegion label={say('page.setup.difference', { file })}>
            <pre class="setup-text">{checked.difference.join('\n')}</pre>
          </ScrollRegion>
          <details>
            <summary>{say('page.setup.whole')}</summary>
            <ScrollRegion label={say('page.setup.whole')}>
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
            {say('page.setup.write')}
          </button>
          <p class="small">{say('page.setup.before')}</p>
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
