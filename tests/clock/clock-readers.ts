import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

const TESTS = fileURLToPath(new URL('..', import.meta.url));

/** What shows that a file of the tests lives by the machine's clock: it asks it, or starts a program. */
const READS_CLOCK = /\bDate\.now\(|\bnew Date\(\)|\bspawn\(/;

/** Tests in a browser, and those that bring masses and faults, take too long for a quick share. */
const LONG = [join('daemon', 'faces', 'web', 'page'), 'faults'];

/** The calendar of a site: given its instants, but made on a library that asks the clock as well. */
const CALENDAR = join('daemon', 'site', 'time');

/**
 * The test files that live by the machine's clock, themselves or by what they import of the tests,
 * and those of the calendar.
 */
export function clockReaders(): string[] {
  const readers = new Map<string, boolean>();
  const reads = (file: string): boolean => {
    const known = readers.get(file);
    if (known !== undefined) return known;
    // Circles end here: a file that is being looked at adds nothing of its own.
    readers.set(file, false);
    const text = readFileSync(file, 'utf8');
    const imported = [...text.matchAll(/\bfrom '(\.[^']+\.ts)'/g)]
      .map((match) => resolve(dirname(file), match[1] ?? ''))
      .filter((path) => path.startsWith(TESTS));
    const found = READS_CLOCK.test(text) || imported.some(reads);
    readers.set(file, found);
    return found;
  };
  return readdirSync(TESTS, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.test.ts') && !LONG.some((folder) => name.startsWith(folder)))
    .filter((name) => name.startsWith(CALENDAR) || reads(join(TESTS, name)))
    .map((name) => join(TESTS, name))
    .sort();
}
