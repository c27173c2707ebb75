import { useState } from 'preact/hooks';
import type { SetupProblem, SetupTrialView, SetupView } from '../views/setup-view.ts';
import { tryWeather } from './api.ts';
import { SetupField, SetupPart, SetupSelect } from './setup-field.tsx';
import { answersOf, problemsAt, type SetupTyped, type WeatherTyped } from './setup-state.ts';
import { Texts } from './texts.tsx';

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
            <Texts lines={trial.lines} />
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
