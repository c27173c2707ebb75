import { breather } from '../breather.ts';
import type { SiteDay } from '../site-clock.ts';
import { columnUnit, type StationField } from './column-units.ts';
import { columnIndex, readTable, type TableHead, type TableRow } from './csv-table.ts';
import type { ToldDay } from './daily-figures.ts';
import { dayReader } from './day-text.ts';
import type { DailyFileConfig } from './outlook-config.ts';
import { judge, type MeasuredField } from './plausible.ts';
import { type ProblemList, problemList } from './problems.ts';
import type { WeatherProblem } from './source.ts';
import { cellReader, type ReadableColumn } from './station-rows.ts';

/** What a daily file tells: each day once. */
export interface DailyFile {
  days: Map<SiteDay, ToldDay>;
  problems: WeatherProblem[];
}

/** W/m² as the mean of a day, as MJ/m² in the day. */
const MJ_PER_M2_IN_W_DAY = 0.0864;
const MOST_RAIN_MM = 2000;
/** Above any day's sum at the outer edge of the air. */
const MOST_SOLAR_MJ_PER_M2 = 45;

type Name = keyof DailyFileConfig['columns'];

const FIELD: Record<Name, { station: StationField; measured: MeasuredField }> = {
  high: { station: 'air_temp', measured: 'airTempC' },
  low: { station: 'air_temp', measured: 'airTempC' },
  wind: { station: 'wind', measured: 'windMPerS' },
  rain: { station: 'rain', measured: 'rainMm' },
  dew_point: { station: 'dew_point', measured: 'dewPointC' },
  solar: { station: 'solar', measured: 'solarMjPerM2' },
};

/** Reads the file; a day without a high and a low above it is left out and named. */
export async function readDaily(text: string, config: DailyFileConfig): Promise<DailyFile> {
  const delimiter = config.delimiter === 'tab' ? '\t' : (config.delimiter ?? null);
  const layout = { delimiter, headerLine: config.header_line };
  const table = await readTable(text, config.file, layout);
  const dayIndex = columnIndex(table, config.day.column);
  const readDay = dayReader(config.day.pattern);
  const problems = problemList(config.file);
  for (const problem of table.problems) problems.add(problem);
  const figure = figureReader(config, { table, problems });
  const breath = breather();
  const days = new Map<SiteDay, ToldDay>();
  for (const row of table.rows) {
    if (breath.due()) await breath.rest();
    const where = `${config.file}:${row.line}`;
    const written = row.cells[dayIndex] ?? '';
    const day = readDay?.(written) ?? null;
    if (day === null) {
      const what = `the day cannot be read (got ${written.slice(0, 40)})`;
      problems.add({ where, what, done: 'left out' });
      continue;
    }
    const highC = figure('high', row);
    const lowC = figure('low', row);
    if (highC === null || lowC === null || highC < lowC) {
      const what = `the day has no high above its low (got ${shown(highC)} and ${shown(lowC)})`;
      problems.add({ where, what, done: 'left out' });
      continue;
    }
    const before = days.get(day);
    if (before) {
      const what = `the day comes again on line ${row.line} (got ${day} twice)`;
      problems.add({ where: before.where, what, done: 'left out, the later line kept' });
    }
    days.set(day, {
      day,
      where,
      highC,
      lowC,
      windMPerS: figure('wind', row),
      rainMm: figure('rain', row),
      dewPointC: figure('dew_point', row),
      solarMjPerM2: figure('solar', row),
      cloudFraction: null,
    });
  }
  return { days, problems: problems.all() };
}

/** A reader of one figure of a row; null where it is missing or cannot be, which is then named. */
function figureReader(
  config: DailyFileConfig,
  { table, problems }: { table: TableHead; problems: ProblemList },
) {
  const readCell = cellReader(table, config);
  const columns = new Map<Name, ReadableColumn>();
  for (const [name, stated] of Object.entries(config.columns)) {
    const unit = stated && columnUnit(FIELD[name as Name].station, stated.unit);
    if (!stated || !unit) continue;
    columns.set(name as Name, {
      column: stated.column,
      index: columnIndex(table, stated.column),
      unit,
    });
  }
  return (name: Name, row: TableRow): number | null => {
    const column = columns.get(name);
    if (!column) return null;
    // Files typed by hand often end without a line end, so a last value is not distrusted here.
    const cell = readCell({ ...row, openEnded: false }, column);
    if (cell.problem) problems.add(cell.problem);
    if (cell.value === null) return null;
    const perDay = name === 'solar' && column.unit.kind === 'mean' ? MJ_PER_M2_IN_W_DAY : 1;
    const judged = judgeDay(name, cell.value * perDay);
    if (judged.problem !== null) {
      const where = `${config.file}:${row.line}`;
      problems.add({ where, what: judged.problem, done: 'value left out' });
    }
    return judged.value;
  };
}

function shown(tempC: number | null): string {
  return tempC === null ? 'none' : `${tempC.toFixed(1)} °C`;
}

function judgeDay(name: Name, value: number) {
  if (name !== 'rain' && name !== 'solar') return judge(FIELD[name].measured, value);
  const most = name === 'rain' ? MOST_RAIN_MM : MOST_SOLAR_MJ_PER_M2;
  if (value >= 0 && value <= most) return { value, problem: null };
  const unit = name === 'rain' ? 'mm' : 'MJ/m²';
  const got = Number(value.toPrecision(4));
  return { value: null, problem: `${name} cannot be (got ${got} ${unit} in a day)` };
}
