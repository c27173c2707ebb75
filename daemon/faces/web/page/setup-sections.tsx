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
import { say } from './words.ts';

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
    ...(hasReport ? [{ value: '', words: say('page.setup.sand.typed', { sand: sand.name }) }] : []),
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
          : say('page.away'),
    );
  };
  return (
    <SetupPart title={say('page.setup.sand')}>
      <p class="small">{say('page.setup.sand.how')}</p>
      <details>
        <summary>{say('page.setup.sand.report')}</summary>
        <SetupField
          name={say('page.setup.sand.name')}
          value={sand.name}
          problems={problemsAt(problems, 'sands')}
          set={(name) => change({ name, ...(name === '' ? {} : { shown: '' }) })}
        />
        <SetupField
          name={say('page.setup.sand.total')}
          value={sand.totalPorosity}
          set={(totalPorosity) => change({ totalPorosity })}
        />
        <SetupField
          name={say('page.setup.sand.capillary')}
          value={sand.capillaryPorosity}
          set={(capillaryPorosity) => change({ capillaryPorosity })}
        />
        <SetupField
          name={say('page.setup.sand.conductivity')}
          value={sand.conductivity}
          set={(conductivity) => change({ conductivity })}
        />
        <SetupField
          name={say('page.setup.sand.depth')}
          value={sand.depth}
          set={(depth) => change({ depth })}
        />
        <SetupSelect
          name={say('page.setup.sand.under')}
          value={sand.under}
          choices={[
            { value: 'gravel', words: say('page.setup.sand.gravel') },
            { value: 'open', words: say('page.setup.sand.open') },
          ]}
          set={(under) => change({ under: under as SandTyped['under'] })}
        />
      </details>
      <SetupSelect
        name={say('page.setup.sand.show')}
        value={sand.shown}
        choices={choices}
        set={(shown) => change({ shown })}
      />
      <button type="button" disabled={busy} onClick={() => void show()}>
        {say('page.setup.sand.dry')}
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
            aria-label={say('page.setup.sand.picture', { demand, hours: lastH.toFixed(1) })}
          >
            <line x1="0" x2={WIDTH} y1={HEIGHT - 1} y2={HEIGHT - 1} />
            <polyline points={path} />
          </svg>
          <details>
            <summary>{say('page.as_table')}</summary>
            <table>
              <thead>
                <tr>
                  <th scope="col">{say('page.setup.sand.after')}</th>
                  <th scope="col">{say('page.setup.sand.of_full')}</th>
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
    ...(view.weather === null
      ? []
      : [{ value: 'keep', words: say('page.setup.weather.keep', { source: view.weather }) }]),
    { value: 'usual', words: say('page.setup.weather.usual') },
    { value: 'station', words: say('page.setup.weather.station') },
    { value: 'forecast', words: say('page.setup.weather.forecast') },
    { value: 'year', words: say('page.setup.weather.year') },
  ];
  // The same day stands for three months: what is wrong with it is told once, at its field.
  const wrongOf = (figure: string) =>
    problemsAt(problems, 'weather').filter(
      ({ path }) => path.endsWith(`].${figure}`) && path.includes('[#1]'),
    );
  return (
    <SetupPart title={say('page.setup.weather')}>
      <SetupSelect
        name={say('page.setup.weather.source')}
        value={weather.way}
        choices={ways}
        hint={say('page.setup.weather.hint')}
        set={(way) => change({ way: way as WeatherTyped['way'] })}
      />
      {weather.way === 'year' || weather.way === 'station' ? (
        <SetupField
          name={say('page.setup.weather.file')}
          value={weather.file}
          problems={problemsAt(problems, 'weather.file')}
          set={(file) => change({ file })}
        />
      ) : null}
      {weather.way === 'keep' || weather.way === 'year' ? null : (
        <>
          <p class="small">
            {say(
              weather.way === 'usual' ? 'page.setup.weather.day' : 'page.setup.weather.day_else',
            )}
          </p>
          <SetupField
            name={say('page.setup.weather.high', { example: isUs ? '85 °F' : '29 °C' })}
            value={weather.high}
            problems={wrongOf('high')}
            set={(high) => change({ high })}
          />
          <SetupField
            name={say('page.setup.weather.low', { example: isUs ? '62 °F' : '17 °C' })}
            value={weather.low}
            problems={wrongOf('low')}
            set={(low) => change({ low })}
          />
          <SetupField
            name={say('page.setup.weather.wind', { example: isUs ? '8 mph' : '3 m/s' })}
            value={weather.wind}
            problems={wrongOf('wind')}
            set={(wind) => change({ wind })}
          />
          <SetupField
            name={say('page.setup.weather.rain', { example: isUs ? '0 in' : '0 mm' })}
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
      const line = outcome.kind === 'refused' ? outcome.error.message : say('page.away');
      setTrial({ ok: false, lines: [line], row: [] });
    }
  };
  return (
    <>
      <button type="button" disabled={busy} onClick={() => void run()}>
        {say('page.setup.weather.try')}
      </button>
      <div role="status">
        {trial === null ? null : (
          <div class={trial.ok ? 'told' : 'told wrong'}>
            <TextLines lines={trial.lines} />
            {trial.row.length === 0 ? null : (
              <table>
                <caption>{say('page.setup.weather.row')}</caption>
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

function nameOf({ name }: PersonTyped, index: number): string {
  return name === '' ? say('page.setup.person', { number: index + 1 }) : name;
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
    <SetupPart title={say('page.setup.people')}>
      <p class="small">
        {say(people.length === 0 ? 'page.setup.people.none' : 'page.setup.people.some')}
      </p>
      {people.map((person, index) => (
        // The place in the list is what stays while a name is typed.
        <fieldset key={index}>
          <legend>{nameOf(person, index)}</legend>
          <SetupField
            name={say('page.setup.person.name')}
            value={person.name}
            problems={problemsAt(
              problems,
              `page.people[${person.name}]`,
              `page.people[#${index + 1}]`,
            )}
            set={(name) => change(index, { name })}
          />
          <SetupSelect
            name={say('page.setup.person.may')}
            value={person.role}
            choices={[
              { value: 'keeper', words: say('page.setup.person.keeper') },
              { value: 'watcher', words: say('page.setup.person.watcher') },
            ]}
            set={(role) => change(index, { role: role as PersonTyped['role'] })}
          />
          <SetupField
            name={say(person.isKnown ? 'page.setup.person.new_pin' : 'page.setup.person.pin')}
            kind="password"
            value={person.pin}
            set={(pin) => change(index, { pin })}
          />
          <button
            type="button"
            class="quiet"
            onClick={() => set(people.filter((_, at) => at !== index))}
          >
            {say('page.setup.person.out', { person: nameOf(person, index) })}
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
        {say('page.setup.person.add')}
      </button>
    </SetupPart>
  );
}
