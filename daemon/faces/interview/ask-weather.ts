import { csvConfigSchema } from '../../../adapters/weather/csv-table.ts';
import { dayFigures } from '../../../adapters/weather/daily-figures.ts';
import {
  columnUnit,
  type StationField,
  unitsOf,
} from '../../../adapters/weather/measured-fields.ts';
import { publicForecast } from '../../actions/setup/public-forecast.ts';
import { stationFile } from '../../actions/setup/station-file.ts';
import type { WeatherTrial } from '../../actions/setup/try-weather.ts';
import { readHead } from '../../site/config/bounded-input.ts';
import { sayInInterview as say } from '../../words/interview.ts';
import { askQuantity, askText, askYesNo, type Talk, textQuestion } from './talk.ts';

type Raw = Record<string, unknown>;

/** What the questions about weather need to know. */
export interface WeatherAsking {
  old: unknown;
  units: 'us' | 'metric';
  /** Month of today at the site, 1 to 12. */
  month: number;
  position: { latitude: number; longitude: number };
  /** Absolute path of a file that was named. */
  pathOf(file: string): string;
  tryOut(raw: unknown): Promise<WeatherTrial>;
}

/** Asks where the weather comes from, tries it out and shows the last row read. */
export async function askWeather(talk: Talk, given: WeatherAsking): Promise<unknown> {
  for (;;) {
    const raw = await askSource(talk, given);
    talk.tell(`  ${say('weather.trying')}`);
    const trial = await talk.once(() => given.tryOut(raw));
    for (const line of trial.lines) talk.tell(`  ${line}`);
    if (trial.row.length > 0) {
      const row = trial.row.map(({ name, value }) => `${name} ${value}`).join('; ');
      talk.tell(`  ${say('weather.last_row', { row })}`);
    }
    const ask = say(trial.ok ? 'weather.is_right' : 'weather.use_unread');
    if (await askYesNo(talk, ask, trial.ok ? 'yes' : 'no')) return raw;
  }
}

async function askSource(talk: Talk, given: WeatherAsking): Promise<unknown> {
  const { old } = given;
  const way = await talk.ask({
    kind: 'choice',
    ask: say('weather.ask'),
    choices: [
      ...(old === undefined ? [] : [{ value: 'keep', words: say('answer.keep') }]),
      { value: 'usual', words: say('weather.usual') },
      { value: 'station', words: say('weather.station') },
      { value: 'forecast', words: say('weather.forecast') },
      { value: 'year', words: say('weather.year') },
    ],
    preset: old === undefined ? 'usual' : 'keep',
  });
  switch (way) {
    case 'keep':
      return old;
    case 'station':
      return { ...(await askStation(talk, given)), ...(await askStandIn(talk, given)) };
    case 'forecast':
      return { ...publicForecast(given.position), ...(await askStandIn(talk, given)) };
    case 'year':
      return {
        source: 'epw',
        file: await askFile(talk, say('weather.epw_file'), given),
      };
    default:
      return { source: 'outlook', wind_height: '10 m', usual: await askUsual(talk, given) };
  }
}

async function askStandIn(talk: Talk, given: WeatherAsking): Promise<Raw> {
  const ask = say('weather.stand_in');
  return (await askYesNo(talk, ask, 'yes')) ? { usual: await askUsual(talk, given) } : {};
}

/** A usual day, for this month and the two after it: as long as a grow-in lasts. */
async function askUsual(talk: Talk, { units, month }: WeatherAsking): Promise<Raw[]> {
  const us = units === 'us';
  const figure = (name: 'high' | 'low' | 'wind', example: string) =>
    askQuantity(talk, { ask: say(`usual.${name}`, { example }), schema: dayFigures[name] });
  const day = {
    high: await figure('high', us ? '85 °F' : '29 °C'),
    low: await figure('low', us ? '62 °F' : '17 °C'),
    wind: await figure('wind', us ? '8 mph' : '3 m/s'),
    rain: await askQuantity(talk, {
      ask: say('usual.rain'),
      preset: us ? '0 in' : '0 mm',
      schema: dayFigures.rain,
    }),
  };
  talk.tell(`  ${say('usual.taken')}`);
  return [0, 1, 2].map((after) => ({ month: ((month - 1 + after) % 12) + 1, ...day }));
}

async function askStation(talk: Talk, given: WeatherAsking): Promise<Raw> {
  const file = await askFile(talk, say('station.file'), given);
  const text = readHead(given.pathOf(file));
  const head = text.ok ? stationFile(text.text) : null;
  if (head === null) talk.tell(`  ${say('station.unknown_headings')}`);
  const columns: { air_temp?: Raw; [field: string]: Raw | undefined } = {};
  for (const { field, column, unit } of head?.fields ?? []) {
    const known = unit !== null && columnUnit(field as StationField, unit) !== null ? unit : null;
    const read = known ?? (await askUnit(talk, field, column));
    columns[field] = { column, unit: read };
    talk.tell(`  ${say('station.column', { column, field, unit: read })}`);
  }
  if (columns.air_temp === undefined) {
    const column = await askName(talk, say('station.temperature_column'));
    columns.air_temp = { column, unit: await askUnit(talk, 'air_temp', column) };
  }
  if (head !== null && head.leftOut.length > 0) {
    talk.tell(`  ${say('station.left_out', { columns: head.leftOut.join(', ') })}`);
  }
  const timeColumn = head?.timeColumn ?? (await askName(talk, say('station.time_column')));
  const pattern = head?.isIso
    ? null
    : await talk.ask(
        textQuestion(
          {
            ask: head?.stamp
              ? say('station.stamps_like', { stamp: head.stamp })
              : say('station.stamps'),
            preset: 'MM/DD/YYYY hh:mm',
          },
          (typed) => (/YYYY/.test(typed) && /hh/.test(typed) ? null : say('station.bad_stamps')),
        ),
      );
  return {
    source: 'csv',
    file,
    stamps: await talk.ask({
      kind: 'choice',
      ask: say('station.time_means'),
      choices: [
        { value: 'hour_ending', words: say('station.hour_ending') },
        { value: 'hour_beginning', words: say('station.hour_beginning') },
      ],
      preset: 'hour_ending',
    }),
    wind_height: await askQuantity(talk, {
      ask: say('station.wind_height'),
      preset: given.units === 'us' ? '6 ft' : '2 m',
      schema: csvConfigSchema.shape.wind_height,
    }),
    time: {
      column: timeColumn,
      ...(pattern === null ? { form: 'iso' } : { form: 'pattern', pattern }),
    },
    columns,
    ...(head?.decimalMark === ',' ? { decimal_mark: ',' } : {}),
  };
}

function askFile(talk: Talk, ask: string, given: WeatherAsking): Promise<string> {
  return talk.ask(
    textQuestion({ ask }, (file) => {
      const text = readHead(given.pathOf(file));
      return file !== '' && text.ok
        ? null
        : say('station.no_file', { got: file || say('answer.nothing') });
    }),
  );
}

function askName(talk: Talk, ask: string): Promise<string> {
  return askText(talk, { ask, schema: csvConfigSchema.shape.file });
}

function askUnit(talk: Talk, field: string, column: string): Promise<string> {
  const units = unitsOf(field as StationField);
  const ask = say('station.unit', { column, units });
  return talk.ask(
    textQuestion({ ask }, (unit) =>
      columnUnit(field as StationField, unit) === null
        ? say('station.bad_unit', { got: unit || say('answer.nothing'), units })
        : null,
    ),
  );
}
