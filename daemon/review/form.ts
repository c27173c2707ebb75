import { MM_PER_INCH } from '../../adapters/display-units.ts';
import { STAGE_NAMES } from '../../calc/growth/stages.ts';
import { KEEP_OFF_KINDS } from '../actions/put-keep-off.ts';
import type { TodayBed, TodayView } from '../web/views/today-view.ts';

export type FormKind =
  | 'call'
  | 'trim'
  | 'rotation'
  | 'water'
  | 'keep_off'
  | 'end_keep_off'
  | 'stage'
  | 'wind'
  | 'replan';

/** One line of a form: typed, or chosen from a few. */
export interface FormField {
  key: string;
  label: string;
  text: string;
  /** What it can be; null: it is typed. */
  choices: readonly { value: string; words: string }[] | null;
  hint: string;
  /** Filled in beforehand: the first letter takes its place. */
  isFresh: boolean;
}

/** A change that a person is writing down. */
export interface Form {
  kind: FormKind;
  title: string;
  intro: string;
  bedId: string;
  fields: readonly FormField[];
  /** The field that the cursor stands on. */
  at: number;
  /** What is wrong with it; null: nothing that is known. */
  wrong: string | null;
}

/** Letter that opens each form. */
export const FORM_KEYS: Readonly<Record<string, FormKind>> = {
  d: 'call',
  t: 'trim',
  r: 'rotation',
  w: 'water',
  k: 'keep_off',
  e: 'end_keep_off',
  s: 'stage',
  a: 'wind',
  p: 'replan',
};

const WHY_ON_BED = 'what you saw on the bed';

/** The last choice of a stage: one step back from where the bed stands. */
const ONE_STEP_BACK = 'back';

/** A form with what stands already filled in, or why there is nothing to change. */
export function openForm(
  kind: FormKind,
  given: { view: TodayView; bed: TodayBed; who: string },
): Form | string {
  const { view, bed, who } = given;
  const form = (title: string, intro: string, ...fields: FormField[]): Form => ({
    kind,
    title,
    intro,
    bedId: bed.id,
    fields: [...fields, typed('who', 'Your name', who, '')],
    at: 0,
    wrong: null,
  });
  const isUs = view.site.units === 'us';
  switch (kind) {
    case 'call': {
      const { call } = view;
      return form(
        'Day call',
        `${call.line} It shifts what is foretold from now to the end of the day, never what was measured.`,
        typed(
          'hotter',
          'Hotter by',
          String(round(call.hotterK * (isUs ? 1.8 : 1))),
          isUs ? '°F; negative is cooler' : '°C; negative is cooler',
        ),
        typed('windier', 'Wind times', String(call.windFraction), '1.5 is half as much again'),
        typed(
          'cloudier',
          'Cloudier by',
          String(round(100 * call.cloudierFraction)),
          '% of the sun; negative is more sun',
        ),
      );
    }
    case 'trim':
      return form(
        `Trim of ${bed.name}`,
        `It stands at ${bed.trimPct} %. 100 % leaves the dose as it is worked out. It stands until it is set anew.`,
        typed('trim', 'Dose', String(bed.trimPct), '%, 25 to 300'),
        typed('why', 'Why', '', WHY_ON_BED),
      );
    case 'rotation':
      return form(
        `One more rotation on ${bed.name}`,
        'Beside what is planned, as soon as the new revision is confirmed and the limits allow.',
        typed('rotations', 'Whole rotations', '1', '1 to 5'),
      );
    case 'water':
      return form(
        `Hand water on ${bed.name}`,
        'What the bed was given by hose or by a valve opened by hand. The plan counts it up to what the seedbed could hold.',
        typed(
          'depth',
          'Depth over the bed',
          isUs ? String(round(1 / MM_PER_INCH)) : '1',
          isUs ? 'in' : 'mm',
        ),
        typed('at', 'When it began', '', 'HH:MM; empty: just now'),
      );
    case 'keep_off':
      return form(
        `Keep-off on ${bed.name}`,
        'Cycles move before or after it. It does not stop the plan in force: only a hold does.',
        chosen('beds', 'Where', 'this', [
          { value: 'this', words: bed.name },
          { value: 'all', words: 'all beds' },
        ]),
        typed('why', 'What for', '', KEEP_OFF_KINDS),
        typed('until', 'Until', '', 'HH:MM; empty: until a person ends it'),
        typed('label', 'Label interval', '', 'hours after a spray; empty: none'),
      );
    case 'end_keep_off': {
      if (view.keepOffs.length === 0) return 'No keep-off of a person stands.';
      const choices = view.keepOffs.map((one) => ({
        value: String(one.keepOffId),
        words: one.line,
      }));
      const own = view.keepOffs.find((one) => one.beds === 'all' || one.beds.includes(bed.id));
      return form(
        'End a keep-off',
        'Water may run again in plans made from then on.',
        chosen('keepOff', 'Which', String((own ?? view.keepOffs[0])?.keepOffId), choices),
        chosen('mistake', 'It was', 'done', [
          { value: 'done', words: 'meant, and is done now' },
          { value: 'mistake', words: 'put on by mistake' },
        ]),
      );
    }
    case 'stage': {
      const at = STAGE_NAMES.findIndex((one) => one.replaceAll('_', ' ') === bed.stage);
      return form(
        `Stage of ${bed.name}`,
        `It is watered as ${bed.stage}. A stage moves by what you saw, never by a date.`,
        chosen('to', 'Move to', STAGE_NAMES[at + 1] ?? STAGE_NAMES[at] ?? '', [
          ...STAGE_NAMES.map((one) => ({ value: one, words: one.replaceAll('_', ' ') })),
          { value: ONE_STEP_BACK, words: 'one step back' },
        ]),
        typed('why', 'Why', '', WHY_ON_BED),
      );
    }
    case 'wind': {
      const { question } = view;
      if (question === null) return 'Nothing is asked about the wind.';
      return form(
        'The wind',
        question.line,
        chosen(
          'answer',
          'Your answer',
          (question.answers.find((one) => one.isPlanned) ?? question.answers[0])?.answer ?? '',
          question.answers.map((one) => ({ value: one.answer, words: one.line })),
        ),
      );
    }
    case 'replan': {
      const heldNow = view.holds.length > 0;
      return form(
        'A fresh plan',
        heldNow
          ? 'From now on, of what stands. A hold is lifted only by confirming a plan that lifts it.'
          : 'From now on, of what stands. It is held until you confirm it.',
        chosen('lift', 'Holds', heldNow ? 'all' : 'none', [
          { value: 'none', words: heldNow ? 'leave them on' : 'none stands' },
          ...(heldNow
            ? [
                { value: 'all', words: 'lift them all with the confirm' },
                { value: 'this', words: `lift the one on ${bed.name} with the confirm` },
              ]
            : []),
        ]),
      );
    }
  }
}

function typed(key: string, label: string, text: string, hint: string): FormField {
  return { key, label, text, choices: null, hint, isFresh: text !== '' };
}

function chosen(
  key: string,
  label: string,
  text: string,
  choices: FormField['choices'],
): FormField {
  return { key, label, text, choices, hint: '', isFresh: false };
}

function round(value: number): number {
  return Math.round(value * 100) / 100;
}
