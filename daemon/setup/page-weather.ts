import { columnUnit, type StationField } from '../../adapters/weather/column-units.ts';
import { isMap, readHead } from '../config/read-text.ts';
import { answeredPlace } from './answered-place.ts';
import type { RawConfig, SetupAnswers } from './answers.ts';
import { publicForecast } from './ask-weather.ts';
import { stationFile } from './station-file.ts';

/** Answers with a weather that the config knows, what was assumed for it, or why there is none. */
export type PageWeather =
  | { ok: true; answers: SetupAnswers; told: string[] }
  | { ok: false; message: string };

/**
 * The page asks for weather by a word: `public_forecast`, whose address follows from the site's place,
 * or `station_file`, whose columns follow from the headings of the file.
 */
export function pageWeather(
  answers: SetupAnswers,
  given: { old: RawConfig | null; pathOf(file: string): string },
): PageWeather {
  const { weather } = answers;
  const { source, file, ...rest } = isMap(weather) ? weather : {};
  if (source === 'public_forecast') {
    const { latitudeDeg, longitudeDeg } = answeredPlace(answers, given.old);
    const forecast = publicForecast({ latitude: latitudeDeg, longitude: longitudeDeg });
    return { ok: true, answers: { ...answers, weather: { ...forecast, ...rest } }, told: [] };
  }
  if (source !== 'station_file') return { ok: true, answers, told: [] };
  const made = stationWeather(String(file), given.pathOf(String(file)));
  if (typeof made === 'string') return { ok: false, message: made };
  return { ok: true, answers: { ...answers, weather: { ...made.raw, ...rest } }, told: made.told };
}

function stationWeather(
  file: string,
  path: string,
): { raw: Record<string, unknown>; told: string[] } | string {
  const text = readHead(path);
  if (!text.ok)
    return `cannot be read (got ${file}: ${text.why}); name a file in the folder of the config`;
  const head = stationFile(text.text);
  const asks = 'use npx dewbeat init, which asks for what a file does not tell';
  if (head?.timeColumn == null || !head.isIso) {
    return `has no column of stamps like 2026-07-01 06:00 under a known heading (got ${file}); ${asks}`;
  }
  const strange = head.fields.find(
    ({ field, unit }) => unit === null || columnUnit(field as StationField, unit) === null,
  );
  if (strange !== undefined) {
    return `has a column without a unit that fits (got ${strange.column}); write it into the heading, such as Temp (°C), or ${asks}`;
  }
  const columns = Object.fromEntries(
    head.fields.map(({ field, column, unit }) => [field, { column, unit }]),
  );
  return {
    raw: {
      source: 'csv',
      file,
      stamps: 'hour_ending',
      wind_height: '2 m',
      time: { form: 'iso', column: head.timeColumn },
      columns,
      ...(head.decimalMark === ',' ? { decimal_mark: ',' } : {}),
    },
    told: [
      `weather: columns ${head.fields.map(({ column, field }) => `${column} as ${field}`).join(', ')}.`,
      ...head.leftOut.map((column) => `weather: column ${column} is not known here, left out.`),
      'weather: stamps are taken to be the end of their row, and the wind gauge to stand at 2 m.',
    ],
  };
}
