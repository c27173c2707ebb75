import { useState } from 'preact/hooks';
import type {
  SetupProblem,
  SetupSandView,
  SetupTrialView,
  SetupView,
} from '../views/setup-view.ts';
import { drySand, tryWeather } from './api.ts';
import { TextLines } from './elements.tsx';
import {
  answersOf,
  labOf,
  type PersonTyped,
  problemsAt,
  type SandTyped,
  SetupField,
  SetupPart,
  SetupSelect,
  type SetupTyped,
  type WeatherTyped,
} from './setup-fields.tsx';

/** Sands: a laboratory report typed in, and how a sand dries at once. */
export function SetupSand(given: {
  view: SetupView;
  sand: SandTyped;
  problems: readonly SetupProblem[];
  set(sand: SandTyped): void;
}) {
  const { view, sand, problems, set } = given;
  const [picture, setPicture] = useState<SetupSandView | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const change = (part: Partial<SandTyped>) => set({ ...sand, ...part });
  const hasReport = sand.name.trim() !== '';
  const choices = [
    ...(hasReport ? [{ value: '', words: `the report typed here: ${sand.name}` }] : []),
    ...view.sands.map(({ name, words }) => ({ value: name, words })),
  ];
  const show = async () => {
    setBusy(true);
    const outcome = await drySand(sand.shown === '' ? { lab: labOf(sand) } : sand.shown);
    setBusy(false);
    setPicture(outcome.kind === 'well' ? outcome.value : null);
    setWrong(
      outcome.kind === 'well'
        ? null
        : outcome.kind === 'refused'
          ? outcome.error.message
          : 'The daemon does not answer.',
    );
  };
  return (
    <SetupPart title="Sand">
      <p class="small">
        The column sand of the table of beds names a class below, or a report that you type here. A
        bed that names none counts as medium sand over gravel, and the plan says so.
      </p>
      <details>
        <summary>Type a laboratory report</summary>
        <SetupField
          name="Name for this sand (own-sand)"
          value={sand.name}
          problems={problemsAt(problems, 'sands')}
          set={(name) => change({ name, ...(name === '' ? {} : { shown: '' }) })}
        />
        <SetupField
          name="Total porosity (40 %)"
          value={sand.totalPorosity}
          set={(totalPorosity) => change({ totalPorosity })}
        />
        <SetupField
          name="Capillary porosity at 30 cm (18 %)"
          value={sand.capillaryPorosity}
          set={(capillaryPorosity) => change({ capillaryPorosity })}
        />
        <SetupField
          name="Saturated conductivity (350 mm/h, 14 in/h)"
          value={sand.conductivity}
          set={(conductivity) => change({ conductivity })}
        />
        <SetupField
          name="Depth of the sand"
          value={sand.depth}
          set={(depth) => change({ depth })}
        />
        <SetupSelect
          name="What lies below it"
          value={sand.under}
          choices={[
            { value: 'gravel', words: 'gravel' },
            { value: 'open', words: 'open ground' },
          ]}
          set={(under) => change({ under: under as SandTyped['under'] })}
        />
      </details>
      <SetupSelect
        name="Show how a sand dries"
        value={sand.shown}
        choices={choices}
        set={(shown) => change({ shown })}
      />
      <button type="button" disabled={busy} onClick={() => void show()}>
        Dry it down
      </button>
      <div role="status">
        {wrong === null ? null : <p class="told wrong">{wrong}</p>}
        {picture === null ? null : <DryDown picture={picture} />}
      </div>
    </SetupPart>
  );
}

const WIDTH = 320;
const HEIGHT = 140;

/** The seed layer's water from full to dry, as a line and as a table. */
function DryDown({ picture }: { picture: SetupSandView }) {
  const { points, lines, demand } = picture;
  const lastH = points.at(-1)?.hours ?? 1;
  const path = points
    .map(({ hours, fullPct }) => `${(hours / lastH) * WIDTH},${HEIGHT - (fullPct / 100) * HEIGHT}`)
    .join(' ');
  return (
    <div class="told">
      <TextLines lines={lines} />
      {points.length === 0 ? null : (
        <>
          <svg
            class="dry-down"
            viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
            role="img"
            aria-label={`Water of the seed layer, losing ${demand}, over ${lastH.toFixed(1)} hours; the table below holds the same`}
          >
            <line x1="0" x2={WIDTH} y1={HEIGHT - 1} y2={HEIGHT - 1} />
            <polyline points={path} />
          </svg>
          <details>
            <summary>The same as a table</summary>
            <table>
              <thead>
                <tr>
                  <th scope="col">after</th>
                  <th scope="col">of full</th>
                </tr>
              </thead>
              <tbody>
                {points.map(({ hours, fullPct }) => (
                  <tr key={hours}>
                    <td>{hours.toFixed(1)} h</td>
                    <td>{fullPct.toFixed(0)} %</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </details>
        </>
      )}
    </div>
  );
}

/** Where the weather comes from, with a trial that shows the last row read. */
export function SetupWeather(given: {
  view: SetupView;
  typed: SetupTyped;
  problems: readonly SetupProblem[];
  set(weather: WeatherTyped): void;
}) {
  const { view, typed, problems, set } = given;
  const { weather } = typed;
  const isUs = typed.fields.units === 'us';
  const change = (part: Partial<WeatherTyped>) => set({ ...weather, ...part });
  const ways = [
    ...(view.weather === null ? [] : [{ value: 'keep', words: `as now: ${view.weather}` }]),
    { value: 'usual', words: 'I type what a usual day is like' },
    { value: 'station', words: 'a file that a weather station writes' },
    { value: 'forecast', words: 'an hourly public forecast over the internet' },
    { value: 'year', words: 'a typical year in an EPW file' },
  ];
  // The same day stands for three months: what is wrong with it is told once, at its field.
  const wrongOf = (figure: string) =>
    problemsAt(problems, 'weather').filter(
      ({ path }) => path.endsWith(`].${figure}`) && path.includes('[#1]'),
    );
  return (
    <SetupPart title="Weather">
      <SetupSelect
        name="Source"
        value={weather.way}
        choices={ways}
        hint="Telemetry and other forecasts: by the config."
        set={(way) => change({ way: way as WeatherTyped['way'] })}
      />
      {weather.way === 'year' || weather.way === 'station' ? (
        <SetupField
          name="File, in the folder of the config"
          value={weather.file}
          problems={problemsAt(problems, 'weather.file')}
          set={(file) => change({ file })}
        />
      ) : null}
      {weather.way === 'keep' || weather.way === 'year' ? null : (
        <>
          <p class="small">
            A usual day now: it counts for this month and the two after it
            {weather.way === 'usual' ? '.' : ', where the source is away; empty: none.'}
          </p>
          <SetupField
            name={`Highest air temperature (${isUs ? '85 °F' : '29 °C'})`}
            value={weather.high}
            problems={wrongOf('high')}
            set={(high) => change({ high })}
          />
          <SetupField
            name={`Lowest air temperature (${isUs ? '62 °F' : '17 °C'})`}
            value={weather.low}
            problems={wrongOf('low')}
            set={(low) => change({ low })}
          />
          <SetupField
            name={`Mean wind (${isUs ? '8 mph' : '3 m/s'})`}
            value={weather.wind}
            problems={wrongOf('wind')}
            set={(wind) => change({ wind })}
          />
          <SetupField
            name={`Rain (${isUs ? '0 in' : '0 mm'})`}
            value={weather.rain}
            problems={wrongOf('rain')}
            set={(rain) => change({ rain })}
          />
        </>
      )}
      <Trial answers={() => answersOf(typed, view)} />
    </SetupPart>
  );
}

function Trial({ answers }: { answers(): Record<string, unknown> }) {
  const [trial, setTrial] = useState<SetupTrialView | null>(null);
  const [busy, setBusy] = useState(false);
  const run = async () => {
    setBusy(true);
    const { site, units, weather } = answers();
    const asked = Object.fromEntries(
      Object.entries({ site, units, weather }).filter(([, part]) => part !== undefined),
    );
    const outcome = await tryWeather({ answers: asked });
    setBusy(false);
    if (outcome.kind === 'well') setTrial(outcome.value);
    else {
      const line =
        outcome.kind === 'refused' ? outcome.error.message : 'The daemon does not answer.';
      setTrial({ ok: false, lines: [line], row: [] });
    }
  };
  return (
    <>
      <button type="button" disabled={busy} onClick={() => void run()}>
        Try the weather
      </button>
      <div role="status">
        {trial === null ? null : (
          <div class={trial.ok ? 'told' : 'told wrong'}>
            <TextLines lines={trial.lines} />
            {trial.row.length === 0 ? null : (
              <table>
                <caption>Last row read</caption>
                <tbody>
                  {trial.row.map(({ name, value }) => (
                    <tr key={name}>
                      <th scope="row">{name}</th>
                      <td>{value}</td>
                    </tr>
                  ))}
                </tbody>
              </table>
            )}
          </div>
        )}
      </div>
    </>
  );
}

/** Who may use the page. A PIN is typed here once; only its hash is kept. */
export function SetupPeople(given: {
  people: readonly PersonTyped[];
  problems: readonly SetupProblem[];
  set(people: PersonTyped[]): void;
}) {
  const { people, problems, set } = given;
  const change = (at: number, part: Partial<PersonTyped>) =>
    set(people.map((one, index) => (index === at ? { ...one, ...part } : one)));
  return (
    <SetupPart title="People">
      <p class="small">
        {people.length === 0
          ? 'Nobody is named: anyone at this machine uses the page by their name. Other machines need people with PINs.'
          : 'Everyone signs in with name and PIN. Leave a PIN empty to keep the one before.'}
      </p>
      {people.map((person, index) => (
        // The place in the list is what stays while a name is typed.
        <fieldset key={index}>
          <legend>{person.name === '' ? `Person ${index + 1}` : person.name}</legend>
          <SetupField
            name="Name"
            value={person.name}
            problems={problemsAt(
              problems,
              `page.people[${person.name}]`,
              `page.people[#${index + 1}]`,
            )}
            set={(name) => change(index, { name })}
          />
          <SetupSelect
            name="May"
            value={person.role}
            choices={[
              { value: 'keeper', words: 'do everything' },
              { value: 'watcher', words: 'look and hold, never confirm' },
            ]}
            set={(role) => change(index, { role: role as PersonTyped['role'] })}
          />
          <SetupField
            name={person.isKnown ? 'New PIN' : 'PIN, six characters or more'}
            kind="password"
            value={person.pin}
            set={(pin) => change(index, { pin })}
          />
          <button
            type="button"
            class="quiet"
            onClick={() => set(people.filter((_, at) => at !== index))}
          >
            Take {person.name === '' ? `person ${index + 1}` : person.name} out
          </button>
        </fieldset>
      ))}
      <button
        type="button"
        onClick={() =>
          set([
            ...people,
            {
              name: '',
              role: people.length === 0 ? 'keeper' : 'watcher',
              pin: '',
              isKnown: false,
            },
          ])
        }
      >
        Add a person
      </button>
    </SetupPart>
  );
}
