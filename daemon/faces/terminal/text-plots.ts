import { sayInTerminal as say } from '../../words/terminal.ts';
import type { DayLineView, LineCycle, LineKeepOff, RunState } from '../web/views/today-view.ts';

const HOUR_MS = 3_600_000;

/** One letter for each state of a cycle: told apart without any colour. */
export const STATE_MARKS: Readonly<Record<RunState, string>> = {
  planned: 'o',
  sent: '>',
  accepted: '+',
  running: '*',
  ran: '#',
  silent: '?',
  missed: 'x',
  withdrawn: '-',
  rejected: '!',
};

const DARK = ':';
const KEPT_OFF = '=';

/** Hours of the day laid over columns. */
export interface DayScale {
  fromMs: number;
  hours: number;
  cellsPerHour: number;
}

/** The hours in which something happens: light, cycles and now; as wide as it goes. */
export function dayScale(day: DayLineView, columns: number): DayScale {
  const { startMs, endMs, nowMs, sunriseMs, sunsetMs, cycles } = day;
  const within = (ms: number) => Math.min(endMs, Math.max(startMs, ms));
  const firsts = [sunriseMs ?? startMs, ...cycles.map((one) => one.startMs), nowMs].map(within);
  const lasts = [sunsetMs ?? endMs, ...cycles.map((one) => one.endMs), nowMs].map(within);
  const first = Math.floor((Math.min(...firsts) - startMs) / HOUR_MS);
  const last = Math.max(first + 1, Math.ceil((Math.max(...lasts) - startMs) / HOUR_MS));
  const hours = last - first;
  return {
    fromMs: startMs + first * HOUR_MS,
    hours,
    cellsPerHour: Math.max(1, Math.floor(columns / hours)),
  };
}

/** The column of an instant; below 0 or past the last where it lies outside. */
export function columnOf(scale: DayScale, atMs: number): number {
  return Math.floor(((atMs - scale.fromMs) / HOUR_MS) * scale.cellsPerHour);
}

export function columnsIn({ hours, cellsPerHour }: DayScale): number {
  return hours * cellsPerHour;
}

/** Hours of the clock, each where it begins; every second or third where they are narrow. */
export function hourRow(scale: DayScale, timeOf: (ms: number) => string): string {
  const every = Math.ceil(3 / scale.cellsPerHour);
  const cells = Array.from({ length: columnsIn(scale) + 2 }, () => ' ');
  for (let hour = 0; hour < scale.hours; hour += every) {
    const label = timeOf(scale.fromMs + hour * HOUR_MS).slice(0, 2);
    cells.splice(hour * scale.cellsPerHour, 2, ...label);
  }
  return cells.join('').trimEnd();
}

/** One bed against the hours: dark hours, keep-offs, and a mark for each cycle. */
export function markRow(
  scale: DayScale,
  day: Pick<DayLineView, 'sunriseMs' | 'sunsetMs'>,
  own: { cycles: readonly LineCycle[]; keepOffs: readonly LineKeepOff[] },
): string {
  const cells = Array.from({ length: columnsIn(scale) }, (_, cell): string => {
    const atMs = scale.fromMs + ((cell + 0.5) / scale.cellsPerHour) * HOUR_MS;
    if (own.keepOffs.some((off) => off.startMs <= atMs && off.endMs > atMs)) return KEPT_OFF;
    const isDark =
      (day.sunriseMs !== null && atMs < day.sunriseMs) ||
      (day.sunsetMs !== null && atMs > day.sunsetMs);
    return isDark ? DARK : '.';
  });
  for (const cycle of own.cycles) {
    const cell = columnOf(scale, cycle.startMs);
    if (cell >= 0 && cell < cells.length) cells[cell] = STATE_MARKS[cycle.state];
  }
  return cells.join('');
}

/** A caret under the column of now, with its time. */
export function nowRow(scale: DayScale, nowMs: number, timeOf: (ms: number) => string): string {
  const column = columnOf(scale, nowMs);
  if (column < 0 || column >= columnsIn(scale)) return '';
  const words = say('plot.now', { at: timeOf(nowMs) });
  const isRight = column + words.length + 2 > columnsIn(scale);
  return isRight ? `${`${words} ^`.padStart(column + 1)}` : `${' '.repeat(column)}^ ${words}`;
}

/** The marks that stand in these rows, each with its word. */
export function legend(rows: readonly string[], states: ReadonlySet<RunState>): string {
  const has = (mark: string) => rows.some((row) => row.includes(mark));
  return [
    ...[...states].map((state) => `${STATE_MARKS[state]} ${say(`run.${state}`)}`),
    ...(has(KEPT_OFF) ? [`${KEPT_OFF} ${say('plot.kept_off')}`] : []),
    ...(has(DARK) ? [`${DARK} ${say('plot.dark')}`] : []),
  ].join('   ');
}

/** Both in one line where they fit beside each other. */
export function nowAndLegend(now: string, words: string, columns: number): string[] {
  if (now === '' || words === '') return [now + words].filter((text) => text !== '');
  const after = `${now}   ${words}`;
  if (after.length <= columns) return [after];
  const free = now.length - now.trimStart().length;
  if (words.length + 3 <= free) return [words + now.slice(words.length)];
  return [now, words];
}

/**
 * A store as a bar of so many cells between the dry limit (left) and full (right): `#` is water, `.`
 * is empty, `|` stands where the reserve ends. `[##|##.....]`
 */
export function storeBar(
  store: { storeMm: number; reserveMm: number; capacityMm: number },
  cells: number,
): string {
  const { storeMm, reserveMm, capacityMm } = store;
  const part = (mm: number) => (capacityMm > 0 ? Math.min(1, Math.max(0, mm / capacityMm)) : 0);
  // A store that is not empty shows at least one cell, and one that is not full leaves one open.
  const exact = part(storeMm) * cells;
  const filled = exact > 0 ? Math.max(1, Math.floor(exact)) : 0;
  const reserveAt = Math.min(cells - 1, Math.round(part(reserveMm) * cells));
  let bar = '';
  for (let cell = 0; cell < cells; cell++) {
    bar += reserveMm > 0 && cell === reserveAt ? '|' : cell < filled ? '#' : '.';
  }
  return `[${bar}]`;
}
