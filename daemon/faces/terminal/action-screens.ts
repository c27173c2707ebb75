import { display } from '../../../adapters/display-units.ts';
import type { BedFigures, Preview } from '../../actions/preview-figures.ts';
import { fill } from '../../words/text-columns.ts';
import type { Form } from './form.ts';
import type { ScreenArea } from './morning-screen.ts';
import { EMPTY, line, paragraph, type ReviewLine, type ScreenBody } from './review-line.ts';
import type { ConfirmScreen, ReviewState, Screen } from './review-state.ts';

const { duration } = display('metric');
const LABEL = 20;
const SHOWN = ['cycles', 'minutes', 'percentOfLoss', 'lowest'] as const;

/** A change being written down, one field a line. */
export function formScreen({ form }: { form: Form }, { width }: ScreenArea): ScreenBody {
  const lines: ReviewLine[] = [
    line(form.title, width, 'title'),
    ...paragraph(form.intro, width),
    EMPTY,
  ];
  let focus = lines.length;
  form.fields.forEach((field, index) => {
    const isHere = index === form.at;
    if (isHere) focus = lines.length;
    const label = `${isHere ? '>' : ' '} ${fill(field.label, LABEL)} `;
    const tone = isHere ? 'chosen' : 'plain';
    if (field.choices === null) {
      lines.push(line(`${label}${field.text}${isHere ? '_' : ''}`, width, tone));
      if (field.hint !== '')
        lines.push(line(`${' '.repeat(LABEL + 3)}${field.hint}`, width, 'quiet'));
      return;
    }
    const words =
      field.choices.find((one) => JSON.stringify(one.value) === field.text)?.words ?? '';
    lines.push(...paragraph(`${label}< ${words} >`, width, { tone, hang: LABEL + 5 }));
  });
  if (form.wrong !== null) {
    lines.push(EMPTY, ...paragraph(`! ${form.wrong}`, width, { tone: 'danger', hang: 2 }));
  }
  return {
    lines,
    focus,
    keys: [
      'type, or Left/Right to choose',
      'Up/Down field',
      'Enter preview',
      'Escape back',
      '! HOLD',
    ],
  };
}

/** Before and after, before anything is kept. */
export function previewScreen(
  state: ReviewState,
  { form, seen }: Extract<Screen, { kind: 'preview' }>,
  { width, timeOf }: ScreenArea,
): ScreenBody {
  const title = line(`${form.title}: PREVIEW, nothing is kept yet`, width, 'title');
  if (seen === null) {
    return {
      lines: [title, EMPTY, line('Both days are being planned ...', width)],
      keys: ['Escape back', '! HOLD'],
    };
  }
  const keys =
    state.busy === null
      ? ['y keep it, as a held plan', 'Escape back', 'Up/Down scroll', 'h or ! HOLD']
      : ['h or ! HOLD'];
  return {
    lines: [
      title,
      ...paragraph(seen.line, width),
      ...seen.dry.flatMap((text) => paragraph(text, width)),
      EMPTY,
      ...previewFigures(seen, width, timeOf),
    ],
    keys,
  };
}

/** The beds that change, and the sums of the day. */
function previewFigures(
  seen: Preview,
  width: number,
  timeOf: (ms: number) => string,
): ReviewLine[] {
  const { before, after } = seen;
  const changed = seen.beds.filter(({ before: was, after: is }) =>
    SHOWN.some((word) => was?.words[word] !== is.words[word]),
  );
  const others = seen.beds.length - changed.length;
  const isNarrow = width < 72;
  const name = 14;
  const rows = changed.flatMap((bed): ReviewLine[] => {
    const cell = (word: (typeof SHOWN)[number]) => fromTo(bed.before, bed.after, word);
    if (isNarrow) {
      return [
        line(`${bed.name}: ${cell('cycles')} cycles, ${cell('minutes')} min`, width),
        line(`    ${cell('percentOfLoss')} of the loss, lowest ${cell('lowest')}`, width),
      ];
    }
    const text = `${fill(bed.name, name)} ${fill(cell('cycles'), 9)} ${fill(cell('minutes'), 14)} ${fill(cell('percentOfLoss'), 12)} ${cell('lowest')}`;
    return [line(text, width)];
  });
  const heading = isNarrow
    ? line(
        `Still to come, before > after; lowest store at ${timeOf(seen.hottestHourMs)}`,
        width,
        'quiet',
      )
    : line(
        `${fill('', name)} ${fill('cycles', 9)} ${fill('minutes', 14)} ${fill('of the loss', 12)} lowest at ${timeOf(seen.hottestHourMs)}`,
        width,
        'quiet',
      );
  const rest =
    others === 0
      ? []
      : [
          line(
            others === 1
              ? 'One other bed stays as it is.'
              : `${others} other beds stay as they are.`,
            width,
          ),
        ];
  const newShortages = after.shortages.filter((text) => !before?.shortages.includes(text));
  return [
    ...(rows.length === 0
      ? [line('No bed changes.', width)]
      : [line('What is still to come, before > after', width), heading, ...rows, ...rest]),
    EMPTY,
    line(`In all ${before === null ? '' : `${daySums(before)} > `}${daySums(after)}.`, width),
    ...newShortages.flatMap((text) => paragraph(`! ${text}`, width, { tone: 'warn', hang: 2 })),
  ];
}

/** "9 > 11", "22.5 > 27.5", "92 > 93 %", "0.008 > 0.005 in": the unit once. */
function fromTo(
  before: BedFigures | null,
  after: BedFigures,
  word: (typeof SHOWN)[number],
): string {
  const is = bare(after, word);
  const was = before === null ? is : bare(before, word);
  if (was === is) return is;
  const unit = / \D+$/.exec(is)?.[0] ?? '';
  return `${unit !== '' && was.endsWith(unit) ? was.slice(0, -unit.length) : was} > ${is}`;
}

function bare(figures: BedFigures, word: (typeof SHOWN)[number]): string {
  if (word === 'minutes') return String(Math.round(figures.runMin * 10) / 10);
  return figures.words[word].replace(/ cycles?$| of loss$/, '');
}

function daySums({ cycles, runMin }: { cycles: number; runMin: number }): string {
  return `${cycles} ${cycles === 1 ? 'cycle' : 'cycles'}, ${duration(Math.round(runMin) * 60)}`;
}

/** What is about to be let out, what it changes, and each caution by itself. */
export function confirmScreen(
  { view, busy }: ReviewState,
  screen: ConfirmScreen,
  { width }: ScreenArea,
): ScreenBody {
  const { read, overtaken } = screen;
  const title = line(
    `Confirm revision ${read.revision} of ${read.siteDay}, digest ${read.shortDigest}`,
    width,
    'title',
  );
  if (overtaken !== null) return overtakenBody(title, overtaken, width);
  const cautions = view?.cautions ?? [];
  const changes = changeLines(view?.changes ?? { againstRevision: null, lines: [] }, width);
  const notes =
    (view?.newest?.liftsHolds.length ?? 0) > 0
      ? paragraph('This confirm LIFTS the hold: held beds get water again.', width, {
          tone: 'warn',
        })
      : [];
  const open = cautions.filter(({ code }) => !screen.ticked.includes(code)).length;
  const rest = open === 0 ? '' : ` (${open} still to tick)`;
  const { isNaming, who, wrong } = screen;
  const lines: ReviewLine[] = [
    title,
    line(view?.newest?.causeLine ?? '', width),
    ...notes,
    EMPTY,
    ...changes,
    EMPTY,
    line(
      `${isNaming ? '>' : ' '} Your name: ${who}${isNaming ? '_' : ''}`,
      width,
      isNaming ? 'chosen' : 'plain',
    ),
    ...cautions.flatMap(({ code, text }, index) =>
      paragraph(`  [${screen.ticked.includes(code) ? 'x' : ' '}] ${index + 1}  ${text}`, width, {
        hang: 9,
      }),
    ),
    line(
      `      y  CONFIRM revision ${read.revision}, digest ${read.shortDigest}${rest}`,
      width,
      isNaming ? 'plain' : 'chosen',
    ),
  ];
  const focus = lines.length - 1;
  if (wrong !== null) {
    lines.push(...paragraph(`! ${wrong}`, width, { tone: 'danger', hang: 2 }));
  }
  const keys = isNaming
    ? ['type your name', 'Enter go on', 'Escape back', '! HOLD']
    : [
        `1 to ${cautions.length}: I have looked`,
        'y confirm',
        'Up name',
        'Escape back',
        'h or ! HOLD',
      ];
  return { lines, focus, keys: busy === null ? keys : ['! HOLD'] };
}

function changeLines(
  { againstRevision, lines }: { againstRevision: number | null; lines: string[] },
  width: number,
): ReviewLine[] {
  if (againstRevision === null) return [line('No plan of this day was confirmed before.', width)];
  return [
    line(`Against revision ${againstRevision}, confirmed last:`, width),
    ...lines.flatMap((text) => paragraph(`  ${text}`, width, { hang: 4 })),
  ];
}

function overtakenBody(
  title: ReviewLine,
  { by, lines }: NonNullable<ConfirmScreen['overtaken']>,
  width: number,
): ScreenBody {
  return {
    lines: [
      title,
      EMPTY,
      ...paragraph(
        `THE PLAN CHANGED WHILE YOU READ IT. Revision ${by.revision}, digest ${by.shortDigest}, is the newest now. Nothing was confirmed and your ticks are taken back.`,
        width,
        { tone: 'danger' },
      ),
      EMPTY,
      line('What it changes against the one that you read:', width),
      ...lines.flatMap((text) => paragraph(`  ${text}`, width, { hang: 4 })),
    ],
    keys: ['Enter read the new one', 'Escape back', 'h or ! HOLD'],
  };
}

/** Stopping water: the second key. */
export function holdScreen(state: ReviewState, { width }: ScreenArea): ScreenBody {
  const bed = state.view?.beds.find((one) => one.id === state.chosen);
  return {
    lines: [
      line('HOLD WATER', width, 'danger'),
      EMPTY,
      line('a   stop everything, now', width, 'chosen'),
      ...(bed === undefined ? [] : [line(`b   stop ${bed.name} alone`, width)]),
      EMPTY,
      ...paragraph(
        'It is done at the second key and needs no confirm. Only a confirm of a fresh plan lifts it (p, then c).',
        width,
      ),
    ],
    keys: ['a hold ALL', ...(bed === undefined ? [] : [`b hold ${bed.name}`]), 'Escape no hold'],
  };
}

/** What was done, as it was told. */
export function outcomeScreen(
  { title, lines, mayConfirm }: Extract<Screen, { kind: 'told' }>,
  { width }: ScreenArea,
): ScreenBody {
  return {
    lines: [
      line(title, width, 'title'),
      EMPTY,
      ...lines.flatMap((text) => paragraph(text, width, { hang: 2 })),
    ],
    keys: [
      'Enter to the beds',
      ...(mayConfirm ? ['c confirm'] : []),
      'Up/Down scroll',
      'h or ! HOLD',
      'q leave',
    ],
  };
}
