import type { Room } from './morning-screen.ts';
import { type Body, EMPTY, line, paragraph, type ReviewLine } from './review-line.ts';
import type { ConfirmScreen, ReviewState, Screen } from './review-state.ts';

/** What is about to be let out, what it changes, and each caution by itself. */
export function confirmScreen(
  { view, busy }: ReviewState,
  screen: ConfirmScreen,
  { width }: Room,
): Body {
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
): Body {
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
export function holdScreen(state: ReviewState, { width }: Room): Body {
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
export function toldScreen(
  { title, lines, mayConfirm }: Extract<Screen, { kind: 'told' }>,
  { width }: Room,
): Body {
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
