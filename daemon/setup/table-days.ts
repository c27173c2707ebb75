import { parseSiteDay } from '../time/site-clock.ts';

/** The days of a column in the way of the config, with how they were read or why they were not. */
export interface TableDays {
  /** For each cell; what is no day, or could be two, stays as typed. */
  days: string[];
  /** Null: nothing had to be told. */
  told: string | null;
  problems: string[];
}

type Order = 'month_first' | 'day_first';

const SLASHED = /^(\d{1,2})[/.-](\d{1,2})[/.-](\d{4}|\d{2})$/;

/**
 * Reads the days of a pasted column: 2026-11-24 as it is, 11/24/2026 and 24.11.2026 in the order
 * that the column's own days prove. Where none proves it, US units say that the month comes first;
 * otherwise a day that could be two is refused, and not guessed. Years of two digits are of 2000.
 */
export function tableDays(cells: readonly string[], isUs: boolean): TableDays {
  const parts = cells.map((cell) => SLASHED.exec(cell)?.slice(1).map(Number) ?? null);
  const proven = new Set<Order>();
  for (const [first = 0, second = 0] of parts.flatMap((one) => (one === null ? [] : [one]))) {
    if (first > 12) proven.add('day_first');
    if (second > 12) proven.add('month_first');
  }
  if (proven.size > 1) {
    return {
      days: [...cells],
      told: null,
      problems: ['days: some have the day first, some the month; write them like 2026-11-24'],
    };
  }
  const order = [...proven][0] ?? (isUs ? 'month_first' : null);
  const problems: string[] = [];
  let told: string | null = null;
  const days = cells.map((cell, index) => {
    const [first, second, year] = parts[index] ?? [];
    if (first === undefined || second === undefined || year === undefined) return cell;
    const monthFirst = dayOf(year, first, second);
    const dayFirst = dayOf(year, second, first);
    if (order === null && monthFirst !== dayFirst) {
      problems.push(
        `row ${index + 1}: a day that can be read in two ways (got ${cell}); write ${monthFirst} or ${dayFirst}`,
      );
      return cell;
    }
    const day = order === 'day_first' ? dayFirst : monthFirst;
    if (day === null) return cell;
    told ??= `Days are read with the ${order === 'day_first' ? 'day' : 'month'} first: ${cell} is ${day}.`;
    return day;
  });
  return { days, told, problems };
}

function dayOf(year: number, month: number, day: number): string | null {
  const two = (number: number) => String(number).padStart(2, '0');
  return parseSiteDay(`${year < 100 ? 2000 + year : year}-${two(month)}-${two(day)}`);
}
