import { sandClasses } from '../../../../calc/sand/sand-classes.ts';
import type { PlaceWeather } from '../season-case.ts';
import { type Cell, CONFIRMS, FORECASTS, ROWS, referenceDays } from './cells.ts';
import { cellLine, type Judged, sparesLine, TITLE } from './judge-table.ts';
import { type CaseSlot, caseSlots, judgedCase, windowsApart } from './judged-cases.ts';

/** One case in so many is revised too, class after class: revisions take most of the time. */
const REVISED_OF = 6;

/**
 * Plans judged by what is none of the planner's assumptions. Sands, their loss at night and their
 * evaporation are drawn for each bed (`truths.ts`), the forecast is wrong by errors of published size
 * (`day-ahead.ts`), and the bed's own column says when it is dry. Rows: what is known of the sand.
 * Columns: what is known of the day, and how often a person confirms. Water is told against what the
 * referee gives at the last moment; `thirsty %` and `thirsty` are dryness and
 * water of the beds that needed any of note: the others get a seedbed's least of cycles all the same.
 *
 * A third of the cases is kept apart and told apart: their beds and their windows are in none of the
 * others. `--tune` runs the others alone, on which choices may be made. `--cases 14` thins the run,
 * `--cases 84` doubles it; `--only 'class alone' --only day-ahead --only 'one confirm'` runs some
 * rows and columns; `--each` prints each case. `--weather FILE` adds a place to the packaged ones.
 *
 * Some nine minutes of one core, and as much again the first time: models of reports take seconds each
 * and are kept in the machine's folder for temporary files.
 */
export async function benchJudge(
  print: (text: string) => void,
  asked: {
    sources: readonly PlaceWeather[];
    classes: readonly string[] | null;
    cases: number;
    isTuning: boolean;
    only: readonly string[];
    isEach: boolean;
  },
): Promise<void> {
  const classes = asked.classes ?? sandClasses.map(({ key }) => key);
  const cells = cellsAsked(asked.only);
  const windows = windowsApart(asked.sources);
  const placesText = (of: (typeof windows)['apart']) =>
    of
      .map(({ source, window }) => `${source.place.name} ${window.kind} ${window.siteDay}`)
      .join(', ');
  print(`windows that may be tuned on: ${placesText(windows.others)}\n`);
  print(`windows kept apart: ${placesText(windows.apart)}\n`);
  const all: Judged[] = [];
  if (asked.isEach) print(TITLE);
  for (const [index, slot] of caseSlots(classes, asked.cases).entries()) {
    if (asked.isTuning && slot.isApart) continue;
    const isRevised = index % REVISED_OF === 0;
    const own = cells.filter(({ confirm }) => isRevised || confirm.afterMin === null);
    if (own.length === 0) continue;
    const judged = await judgedIn(own, slot, windows);
    all.push(...judged);
    if (asked.isEach) for (const one of judged) print(cellLine([one]));
  }
  printPart(
    print,
    'may be tuned on',
    cells,
    all.filter((one) => !one.isApart),
  );
  if (!asked.isTuning)
    printPart(
      print,
      'kept apart',
      cells,
      all.filter((one) => one.isApart),
    );
}

async function judgedIn(
  cells: readonly Cell[],
  slot: CaseSlot,
  windows: ReturnType<typeof windowsApart>,
): Promise<Judged[]> {
  const one = judgedCase(slot, windows);
  const reference = referenceDays(one);
  const judged: Judged[] = [];
  for (const cell of cells) {
    const result = await cell.row.run(one, cell);
    judged.push({ cell, caseName: one.name, isApart: one.isApart, result, reference });
  }
  return judged;
}

function printPart(
  print: (text: string) => void,
  name: string,
  cells: readonly Cell[],
  all: readonly Judged[],
): void {
  print(`\ncases ${name}\n${TITLE}`);
  for (const cell of cells) print(cellLine(all.filter((one) => one.cell === cell)));
  for (const cell of cells) print(sparesLine(cell, all));
}

/** Every cell, or those whose row and columns are named; of what is not named, all. */
function cellsAsked(only: readonly string[]): Cell[] {
  const picked = <T>(of: readonly T[], nameOf: (one: T) => string) => {
    const named = of.filter((one) => only.includes(nameOf(one)));
    return named.length === 0 ? of : named;
  };
  const names = [
    ...ROWS.map(({ name }) => name),
    ...FORECASTS,
    ...CONFIRMS.map(({ name }) => name),
  ];
  const unknown = only.find((name) => !(names as string[]).includes(name));
  if (unknown !== undefined) {
    throw new Error(`no such row or column (got ${unknown}); there are ${names.join(', ')}`);
  }
  return picked(ROWS, ({ name }) => name).flatMap((row) =>
    picked(FORECASTS, (name) => name)
      .filter((forecast) => row.forecasts.includes(forecast))
      .flatMap((forecast) =>
        picked(CONFIRMS, ({ name }) => name)
          .filter(({ name }) => row.confirms?.includes(name) ?? true)
          .map((confirm) => ({ row, forecast, confirm })),
      ),
  );
}
