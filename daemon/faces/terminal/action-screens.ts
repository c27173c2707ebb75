import type { Preview } from '../../actions/preview-figures.ts';
import { sayAtCommandLine } from '../../words/command-line.ts';
import { sayInTerminal as say } from '../../words/terminal.ts';
import { fill } from '../../words/text-columns.ts';
import type { Form } from './form.ts';
import { keysOf } from './keys.ts';
import type { ScreenArea } from './morning-screen.ts';
import { newShortages, type PreviewRow, previewRows, previewSums } from './preview-rows.ts';
import { EMPTY, line, paragraph, type ReviewLine, type ScreenBody } from './review-line.ts';
import type { ConfirmScreen, ReviewState, Screen } from './review-state.ts';

const LABEL = 20;

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
    keys: keysOf('type_or_choose', 'field', 'preview', 'back', 'stop'),
  };
}

/** Before and after, before anything is kept. */
export function previewScreen(
  state: ReviewState,
  { form, seen }: Extract<Screen, { kind: 'preview' }>,
  { width, timeOf }: ScreenArea,
): ScreenBody {
  const title = line(say('preview.form', { form: form.title }), width, 'title');
  if (seen === null) {
    return {
      lines: [title, EMPTY, line(say('preview.planning'), width)],
      keys: keysOf('back', 'stop'),
    };
  }
  const keys = state.busy === null ? keysOf('keep', 'back', 'scroll', 'stop') : keysOf('stop');
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
  const { rows, others } = previewRows(seen);
  const at = timeOf(seen.hottestHourMs);
  const told = width < 72 ? narrowRows(rows, at, width) : wideRows(rows, at, width);
  const rest = others === 0 ? [] : [line(sayAtCommandLine('preview.others', { others }), width)];
  return [
    ...(rows.length === 0
      ? [line(sayAtCommandLine('preview.no_change'), width)]
      : [...told, ...rest]),
    EMPTY,
    line(previewSums(seen), width),
    ...newShortages(seen).flatMap((text) =>
      paragraph(`! ${text}`, width, { tone: 'warn', hang: 2 }),
    ),
  ];
}

function wideRows(rows: readonly PreviewRow[], at: string, width: number): ReviewLine[] {
  const row = ([bed = '', cycles = '', minutes = '', percent = '', lowest = '']: string[]) =>
    `${fill(bed, 14)} ${fill(cycles, 9)} ${fill(minutes, 14)} ${fill(percent, 12)} ${lowest}`;
  return [
    line(sayAtCommandLine('preview.to_come'), width),
    line(row(say('preview.columns', { at }).split('|')), width, 'quiet'),
    ...rows.map((one) =>
      line(row([one.bed, one.cycles, one.minutes, one.percentOfLoss, one.lowest]), width),
    ),
  ];
}

function narrowRows(rows: readonly PreviewRow[], at: string, width: number): ReviewLine[] {
  return [
    ...paragraph(say('preview.narrow', { at }), width, { tone: 'quiet' }),
    ...rows.flatMap(({ bed, cycles, minutes, percentOfLoss: percent, lowest }) => [
      line(say('preview.narrow_runs', { bed, cycles, minutes }), width),
      line(`    ${say('preview.narrow_store', { percent, lowest })}`, width),
    ]),
  ];
}

/** What is about to be let out, what it changes, and each caution by itself. */
export function confirmScreen(
  state: ReviewState,
  screen: ConfirmScreen,
  { width }: ScreenArea,
): ScreenBody {
  const { view, busy } = state;
  const { read, overtaken } = screen;
  const title = line(
    say('confirm.title', {
      revision: read.revision,
      day: read.siteDay,
      digest: read.shortDigest,
    }),
    width,
    'title',
  );
  if (overtaken !== null) return overtakenBody(title, overtaken, width);
  const cautions = view?.cautions ?? [];
  const changes = changeLines(view?.changes ?? { againstRevision: null, lines: [] }, width);
  const notes =
    (view?.newest?.liftsHolds.length ?? 0) > 0
      ? paragraph(say('confirm.releases'), width, {
          tone: 'warn',
        })
      : [];
  const open = cautions.filter(({ code }) => !screen.ticked.includes(code)).length;
  const named = { revision: read.revision, digest: read.shortDigest };
  const y = open === 0 ? say('confirm.y', named) : say('confirm.y_open', { ...named, open });
  const { isNaming, who, wrong } = screen;
  const lines: ReviewLine[] = [
    title,
    line(view?.newest?.causeLine ?? '', width),
    ...notes,
    ...(view?.day?.riskLine == null ? [] : paragraph(view.day.riskLine, width)),
    EMPTY,
    ...changes,
    EMPTY,
    line(
      `${isNaming ? '>' : ' '} ${say('confirm.name', { who })}${isNaming ? '_' : ''}`,
      width,
      isNaming ? 'chosen' : 'plain',
    ),
    ...cautions.flatMap(({ code, text }, index) =>
      paragraph(`  [${screen.ticked.includes(code) ? 'x' : ' '}] ${index + 1}  ${text}`, width, {
        hang: 9,
      }),
    ),
    ...leewayLines(screen, state, width),
    line(`      ${y}`, width, isNaming ? 'plain' : 'chosen'),
  ];
  const focus = lines.length - 1;
  if (wrong !== null) {
    lines.push(...paragraph(`! ${wrong}`, width, { tone: 'danger', hang: 2 }));
  }
  const keys = isNaming
    ? keysOf('type_name', 'go_on', 'back', 'stop')
    : [
        say('key.looked', { cautions: cautions.length }),
        ...(view?.leeway == null ? [] : keysOf('with_leeway')),
        ...keysOf('confirm_it', 'name', 'back', 'stop'),
      ];
  return { lines, focus, keys: busy === null ? keys : keysOf('stop') };
}

/** As laid or with its leeway: the choice, and once it is made what it lets the daemon do. */
function leewayLines(
  { without }: ConfirmScreen,
  { view, chosen }: ReviewState,
  width: number,
): ReviewLine[] {
  const leeway = view?.leeway ?? null;
  if (leeway === null) return [];
  const mark = without === null ? ' ' : 'x';
  const choice = paragraph(`  [${mark}] w  ${say('confirm.leeway')} ${leeway.line}`, width, {
    hang: 9,
  });
  if (without === null) return choice;
  const bed = leeway.beds.find(({ id }) => id === chosen)?.name ?? '';
  const out = leeway.beds.filter(({ id }) => without.includes(id)).map(({ name }) => name);
  return [
    ...choice,
    ...paragraph(`         ${leeway.holds}`, width, { tone: 'warn', hang: 9 }),
    ...(out.length === 0
      ? []
      : paragraph(`         ${say('confirm.leeway_without', { beds: out.join(', ') })}`, width, {
          hang: 9,
        })),
    ...(bed === '' ? [] : [line(`         ${say('confirm.leeway_bed', { bed })}`, width)]),
  ];
}

function changeLines(
  { againstRevision, lines }: { againstRevision: number | null; lines: string[] },
  width: number,
): ReviewLine[] {
  if (againstRevision === null) return [line(say('confirm.first'), width)];
  return [
    line(say('confirm.against', { revision: againstRevision }), width),
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
        say('confirm.overtaken', { revision: by.revision, digest: by.shortDigest }),
        width,
        { tone: 'danger' },
      ),
      EMPTY,
      line(say('confirm.changes'), width),
      ...lines.flatMap((text) => paragraph(`  ${text}`, width, { hang: 4 })),
    ],
    keys: keysOf('read_new', 'back', 'stop'),
  };
}

/** Stopping water: the second key. */
export function holdScreen(state: ReviewState, { width }: ScreenArea): ScreenBody {
  const bed = state.view?.beds.find((one) => one.id === state.chosen);
  return {
    lines: [
      line(say('stop.title'), width, 'danger'),
      EMPTY,
      line(say('stop.all'), width, 'chosen'),
      ...(bed === undefined ? [] : [line(say('stop.bed', { bed: bed.name }), width)]),
      EMPTY,
      ...paragraph(say('stop.means'), width),
    ],
    keys: [
      say('key.stop_all'),
      ...(bed === undefined ? [] : [say('key.stop_bed', { bed: bed.name })]),
      say('key.no_stop'),
    ],
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
      ...keysOf('enter_to_beds'),
      ...(mayConfirm ? keysOf('confirm') : []),
      ...keysOf('scroll', 'stop', 'leave'),
    ],
  };
}
