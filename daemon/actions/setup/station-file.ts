import { pastedCells } from './pasted-table.ts';
import { type Heading, headingsOf, type TableColumn } from './table-columns.ts';
import { hasDecimalComma } from './typed-values.ts';

/** What the head of a station's export tells of itself. */
export interface StationFile {
  /** Column of the stamps; null: none was recognised. */
  timeColumn: string | null;
  /** A stamp as it stands there. */
  stamp: string | null;
  /** True when stamps are ISO 8601. */
  isIso: boolean;
  /** Fields with their column, and the unit where the heading names one. */
  fields: { field: string; column: string; unit: string | null }[];
  decimalMark: '.' | ',';
  /** Columns that nothing is read from. */
  leftOut: string[];
}

const ROWS = 30;

const STATION_FILE_COLUMNS: readonly TableColumn[] = [
  {
    key: 'time',
    headings: [
      'time',
      'stamp',
      'timestamp',
      'date time',
      'datetime',
      'date',
      'date and time',
      'valid',
      'when',
    ],
  },
  {
    key: 'air_temp',
    headings: [
      'air temp',
      'temp',
      'temperature',
      'air temperature',
      'air',
      't',
      'temp f',
      'temp c',
      'outside temp',
    ],
    kind: 'temperature',
  },
  {
    key: 'relative_humidity',
    headings: ['relative humidity', 'humidity', 'rh', 'hum', 'rel humidity'],
    kind: 'fraction',
  },
  {
    key: 'dew_point',
    headings: ['dew point', 'dewpoint', 'dew', 'dew point temperature'],
    kind: 'temperature',
  },
  {
    key: 'wind',
    headings: ['wind', 'wind speed', 'wind avg', 'avg wind', 'average wind speed', 'mean wind'],
    kind: 'speed',
  },
  {
    key: 'solar',
    headings: ['solar', 'solar radiation', 'solar rad', 'radiation', 'sun', 'global radiation'],
    kind: 'solar',
  },
  {
    key: 'rain',
    headings: ['rain', 'rainfall', 'precipitation', 'precip', 'rain sum'],
    kind: 'depth',
  },
];

/** Reads the head of an export; null when it has no row of headings that are known. */
export function stationFile(text: string): StationFile | null {
  const cells = pastedCells(text.split(/\r?\n/).slice(0, ROWS).join('\n'));
  if (!cells.ok) return null;
  const [first = [], ...rows] = cells.rows;
  const headings = headingsOf(first, STATION_FILE_COLUMNS);
  if (headings === null) return null;
  const timeAt = headings.findIndex(({ column }) => column?.key === 'time');
  const stamp = timeAt < 0 ? null : (rows.at(-1)?.[timeAt] ?? null);
  return {
    timeColumn: timeAt < 0 ? null : (headings[timeAt]?.text ?? null),
    stamp,
    isIso: stamp !== null && /^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}/.test(stamp),
    fields: headings.flatMap(fieldOf),
    decimalMark: rows.flat().some(hasDecimalComma) ? ',' : '.',
    leftOut: headings.filter(({ column }) => column === null).map(({ text: name }) => name),
  };
}

function fieldOf({ text, column, unit }: Heading): StationFile['fields'] {
  if (column === null || column.key === 'time') return [];
  const short = / f$/i.test(text.replace('_', ' '))
    ? '°F'
    : / c$/i.test(text.replace('_', ' '))
      ? '°C'
      : null;
  const known = column.key === 'relative_humidity' ? '%' : short;
  return [{ field: column.key, column: text, unit: unit ?? known }];
}
