import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';
import type { SetupFields, SetupProblem, SetupView } from '../views/setup-view.ts';

/** What a person has typed in the set-up. */
export interface SetupTyped {
  fields: SetupFields;
  weather: WeatherTyped;
  sand: SandTyped;
  people: PersonTyped[];
  /** True once people were touched: untouched they are not sent. */
  peopleChanged: boolean;
}

export interface WeatherTyped {
  way: 'keep' | 'usual' | 'station' | 'forecast' | 'year';
  high: string;
  low: string;
  wind: string;
  rain: string;
  file: string;
}

export interface SandTyped {
  /** Sand whose dry-down is shown. */
  shown: string;
  /** A laboratory report; without a name there is none. */
  name: string;
  totalPorosity: string;
  capillaryPorosity: string;
  conductivity: string;
  depth: string;
  under: 'gravel' | 'open';
}

export interface PersonTyped {
  name: string;
  role: 'keeper' | 'watcher';
  pin: string;
  isKnown: boolean;
}

export function typedFrom(view: SetupView): SetupTyped {
  const isUs = view.fields.units === 'us';
  return {
    fields: { ...view.fields },
    weather: {
      way: view.weather === null ? 'usual' : 'keep',
      high: '',
      low: '',
      wind: '',
      rain: isUs ? '0 in' : '0 mm',
      file: '',
    },
    sand: {
      shown: 'medium_over_gravel',
      name: '',
      totalPorosity: '',
      capillaryPorosity: '',
      conductivity: '',
      depth: isUs ? '12 in' : '300 mm',
      under: 'gravel',
    },
    people: view.people.map((one) => ({ ...one, pin: '', isKnown: true })),
    peopleChanged: false,
  };
}

/** The answers: what differs from the config as it is; of a new site all of it. */
export function answersOf(typed: SetupTyped, view: SetupView): Record<string, unknown> {
  const { fields, weather, sand, people, peopleChanged } = typed;
  const changed = (key: keyof SetupFields) => view.isNew || fields[key] !== view.fields[key];
  const picked = (keys: Partial<Record<keyof SetupFields, string>>) =>
    Object.fromEntries(
      Object.entries(keys).flatMap(([key, name]) =>
        changed(key as keyof SetupFields) ? [[name, fields[key as keyof SetupFields]]] : [],
      ),
    );
  const site = picked({ name: 'name', position: 'position', elevation: 'elevation', zone: 'zone' });
  const supply = picked({ pumpFlow: 'pump_flow', mains: 'mains' });
  const source = weatherOf(weather, view.month);
  return {
    ...(Object.keys(site).length > 0 ? { site } : {}),
    ...picked({ units: 'units' }),
    ...(source === null ? {} : { weather: source }),
    ...(Object.keys(supply).length > 0 ? { supply } : {}),
    ...(sand.name.trim() === '' ? {} : { sands: { [sand.name.trim()]: { lab: labOf(sand) } } }),
    ...picked({ beds: 'beds', stations: 'stations' }),
    ...(peopleChanged
      ? {
          people: people.map(({ name, role, pin }) => ({
            name,
            role,
            ...(pin === '' ? {} : { pin }),
          })),
        }
      : {}),
  };
}

export function labOf(sand: SandTyped) {
  return {
    total_porosity: sand.totalPorosity,
    capillary_porosity: sand.capillaryPorosity,
    saturated_conductivity: sand.conductivity,
    depth: sand.depth,
    under: sand.under,
  };
}

/** Null: as it is now. A usual day stands for this month and the two after it. */
function weatherOf(weather: WeatherTyped, month: number): Record<string, unknown> | null {
  const { high, low, wind, rain } = weather;
  const isTyped = [high, low, wind].some((text) => text.trim() !== '');
  const usual = [0, 1, 2].map((after) => ({
    month: ((month - 1 + after) % 12) + 1,
    high,
    low,
    wind,
    rain,
  }));
  switch (weather.way) {
    case 'keep':
      return null;
    case 'usual':
      return { source: 'outlook', wind_height: '10 m', usual };
    case 'forecast':
      return { source: 'public_forecast', ...(isTyped ? { usual } : {}) };
    case 'station':
      return { source: 'station_file', file: weather.file, ...(isTyped ? { usual } : {}) };
    case 'year':
      return { source: 'epw', file: weather.file };
  }
}

/** The problems of a field: `site.name`, or all that begins with `beds`. */
export function problemsAt(
  problems: readonly SetupProblem[],
  ...paths: readonly string[]
): SetupProblem[] {
  return problems.filter(({ path }) =>
    paths.some((one) => path === one || path.startsWith(`${one}[`) || path.startsWith(`${one}.`)),
  );
}

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
