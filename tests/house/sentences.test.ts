import { expect, it } from 'vitest';
import { sentencesIn } from './sentences.ts';
import { sourceTexts } from './sources.ts';

it('finds what reads like a sentence, wherever templates nest', () => {
  const source = [
    "const a = 'the bed is dry';",
    'const b = `$' + '{names.map((one) => `$' + '{one} is not here`)} stand dry now`;',
    "const c = 'two words';",
    "throw new RangeError('this is for programmers alone');",
    "const d = db.prepare('SELECT one FROM two WHERE three');",
    '// nobody reads this one',
    '/* nor this long one */',
  ].join('\n');
  expect(sentencesIn('a.ts', source)).toEqual([
    'the bed is dry',
    '  is not here',
    '  stand dry now',
  ]);
  expect(sentencesIn('a.tsx', '<p>water these beds again</p>')).toEqual([
    '>water these beds again<',
  ]);
});

/** Rooms whose sentences stand in `daemon/words`. */
const ROOMS =
  /^(calc|daemon\/(faces|planning|studies|site\/gate|site\/time)|daemon\/actions\/[^/]+$)/;

/** Headings of CSV files are names on the wire. */
const WIRE = /^daemon\/studies\/records\/(tables|hand-over)\//;

/** What stays: commands as they are typed, the service's own log, what only programmers meet. */
const STAYS = [
  /^\s*npx dewbeat /,
  /^>npx dewbeat/,
  /^page: (cannot be served|could not answer|its front has failed)/,
  /^stop socket: /,
  /^its thread has ended$/,
  /^The page was not built: /,
  /^(not a finite number|out of range|of at (least|most) +)$/,
  /^dry \+ 2, sine day from noon$/,
  /^no such file$/,
  /^back to the config$/,
  // An example of what a person may write.
  /^half of it shows green$/,
  // Kept as the reason of a stop.
  /^the data folder was moved or copied/,
  // A style sheet.
  /^\s*:root\{/,
];

it('has no sentence outside the words in calc, faces, planning, studies, gate and actions', () => {
  const found = [...sourceTexts()].flatMap(([name, source]) =>
    ROOMS.test(name.replaceAll('\\', '/')) && !WIRE.test(name.replaceAll('\\', '/'))
      ? sentencesIn(name, source)
          .filter((text) => !STAYS.some((one) => one.test(text)))
          .map((text) => `${name}: ${text.replace(/\s+/g, ' ').slice(0, 100)}`)
      : [],
  );
  expect(found).toEqual([]);
});
