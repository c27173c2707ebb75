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
    talk.tell('  Trying it out ...');
    const trial = await talk.once(() => given.tryOut(raw));
    for (const line of trial.lines) talk.tell(`  ${line}`);
    if (trial.row.length > 0) {
      talk.tell(
        `  Last row read: ${trial.row.map(({ name, value }) => `${name} ${value}`).join('; ')}`,
      );
    }
    const ask = trial.ok ? 'Is that right?' : 'It could not be read. Use it all the same?';
    if (await askYesNo(talk, ask, trial.ok ? 'yes' : 'no')) return raw;
  }
}

async function askSource(talk: Talk, given: WeatherAsking): Promise<unknown> {
  const { old } = given;
  const way = await talk.ask({
    kind: 'choice',
    ask: 'Where does the weather come from?',
    choices: [
      ...(old === undefined ? [] : [{ value: 'keep', words: 'the same as now' }]),
      { value: 'usual', words: 'I type what a usual day is like now' },
      { value: 'station', words: 'a file that a weather station writes' },
      { value: 'forecast', words: 'an hourly public forecast over the internet, without a key' },
      { value: 'year', words: 'a typical year in an EPW file' },
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
        file: await askFile(talk, 'EPW file, from the folder of the config', given),
      };
    default:
      return { source: 'outlook', wind_height: '10 m', usual: await askUsual(talk, given) };
  }
}

async function askStandIn(talk: Talk, given: WeatherAsking): Promise<Raw> {
  const ask = 'Type a usual day too, for when the source is away?';
  return (await askYesNo(talk, ask, 'yes')) ? { usual: await askUsual(talk, given) } : {};
}

/** A usual day, for this month and the two after it: as long as a grow-in lasts. */
async function askUsual(talk: Talk, { units, month }: WeatherAsking): Promise<Raw[]> {
  const us = units === 'us';
  const figure = (name: 'high' | 'low' | 'wind' | 'rain', words: string, example: string) =>
    askQuantity(talk, {
      ask: `A usual day now: ${words} (such as ${example})`,
      schema: dayFigures[name],
    });
  const day = {
    high: await figure('high', 'highest air temperature', us ? '85 °F' : '29 °C'),
    low: await figure('low', 'lowest air temperature', us ? '62 °F' : '17 °C'),
    wind: await figure('wind', 'mean wind', us ? '8 mph' : '3 m/s'),
    rain: await askQuantity(talk, {
      ask: 'A usual day now: rain',
      preset: us ? '0 in' : '0 mm',
      schema: dayFigures.rain,
    }),
  };
  talk.tell('  Taken for this month and the two after it, with wind as told at 10 m.');
  return [0, 1, 2].map((after) => ({ month: ((month - 1 + after) % 12) + 1, ...day }));
}

async function askStation(talk: Talk, given: WeatherAsking): Promise<Raw> {
  const file = await askFile(talk, 'File of the station, from the folder of the config', given);
  const text = readHead(given.pathOf(file));
  const head = text.ok ? stationFile(text.text) : null;
  if (head === null) talk.tell('  Its headings say nothing that is known here: name the columns.');
  const columns: { air_temp?: Raw; [field: string]: Raw | undefined } = {};
  for (const { field, column, unit } of head?.fields ?? []) {
    const known = unit !== null && columnUnit(field as StationField, unit) !== null ? unit : null;
    const read = known ?? (await askUnit(talk, field, column));
    columns[field] = { column, unit: read };
    talk.tell(`  ${column}: read as ${field}, ${read}`);
  }
  if (columns.air_temp === undefined) {
    const column = await askName(talk, 'Name of the column with the air temperature');
    columns.air_temp = { column, unit: await askUnit(talk, 'air_temp', column) };
  }
  if (head !== null && head.leftOut.length > 0) {
    talk.tell(`  Not known here and left out: ${head.leftOut.join(', ')}`);
  }
  const timeColumn =
    head?.timeColumn ?? (await askName(talk, 'Name of the column with date and time'));
  const pattern = head?.isIso
    ? null
    : await talk.ask(
        textQuestion(
          {
            ask: `Form of its stamps${head?.stamp ? ` (${head.stamp})` : ''}`,
            preset: 'MM/DD/YYYY hh:mm',
          },
          (typed) =>
            /YYYY/.test(typed) && /hh/.test(typed)
              ? null
              : 'does not fix the date and the hour; write it like MM/DD/YYYY hh:mm',
        ),
      );
  return {
    source: 'csv',
    file,
    stamps: await talk.ask({
      kind: 'choice',
      ask: 'What does the time of a row mean?',
      choices: [
        { value: 'hour_ending', words: 'the end of what it tells of (most stations)' },
        { value: 'hour_beginning', words: 'the beginning' },
      ],
      preset: 'hour_ending',
    }),
    wind_height: await askQuantity(talk, {
      ask: 'Height of the wind gauge above the ground',
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
        : `cannot be read (got ${file || 'nothing'}); name a file that is there`;
    }),
  );
}

function askName(talk: Talk, ask: string): Promise<string> {
  return askText(talk, { ask, schema: csvConfigSchema.shape.file });
}

function askUnit(talk: Talk, field: string, column: string): Promise<string> {
  const ask = `Unit of the column ${column} (one of ${unitsOf(field as StationField)})`;
  return talk.ask(
    textQuestion({ ask }, (unit) =>
      columnUnit(field as StationField, unit) === null
        ? `does not fit here (got ${unit || 'nothing'}); write one of ${unitsOf(field as StationField)}`
        : null,
    ),
  );
}
