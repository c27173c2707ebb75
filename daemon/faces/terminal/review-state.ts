import type { Preview } from '../../actions/preview-figures.ts';
import type { BedView } from '../web/views/bed-view.ts';
import type { TodayView } from '../web/views/today-view.ts';
import type { Form } from './form.ts';

/** The plan that a person has before the eyes: what a confirm names. */
export interface PlanRead {
  revision: number;
  digest: string;
  shortDigest: string;
  siteDay: string;
}

export interface ConfirmScreen {
  kind: 'confirm';
  read: PlanRead;
  who: string;
  ticked: string[];
  /** Beds that stay as laid where the plan goes out with its leeway; null: all of it as laid. */
  without: string[] | null;
  /** The name is being typed. */
  isNaming: boolean;
  /** What a newer plan changes against the one read; null: it is still the newest. */
  overtaken: { by: PlanRead; lines: string[] } | null;
  /** Why the last attempt did not go through. */
  wrong: string | null;
}

/** An action as it was asked for; `actionOf` looks whether it can be. */
export type Asked = { kind: string; [key: string]: unknown };

export type Screen =
  | { kind: 'morning' }
  | { kind: 'bed' }
  | { kind: 'line' }
  | { kind: 'more' }
  | { kind: 'help' }
  | { kind: 'hold'; back: Screen }
  | { kind: 'form'; form: Form }
  | { kind: 'preview'; form: Form; change: Asked; seen: Preview | null }
  | ConfirmScreen
  | { kind: 'told'; title: string; lines: string[]; mayConfirm: boolean };

/** What has just happened, in one line above the keys. */
export interface Note {
  text: string;
  tone: 'danger' | 'warn' | 'plain';
}

/** The whole review: everything that the next frame and the next key rest on. */
export interface ReviewState {
  /** Null before the store was read for the first time. */
  view: TodayView | null;
  /** The chosen bed in full; null until it was asked for. */
  bed: BedView | null;
  /** Why the store could not be read the last time; what is shown is then old. */
  fault: string | null;
  /** Id of the chosen bed. */
  chosen: string | null;
  screen: Screen;
  who: string;
  /** First line shown of a screen that is longer than the terminal. */
  scroll: number;
  note: Note | null;
  /** What is being worked out; null: nothing. */
  busy: string | null;
  /** Number of the last request, so that a late answer to an earlier one is let go. */
  requests: number;
}

/** What a key asks of the world outside. */
export type Act =
  | { kind: 'leave' }
  | { kind: 'hold'; beds: 'all' | string[]; who: string }
  | { kind: 'preview'; request: number; change: Asked; who: string }
  | { kind: 'change'; request: number; change: Asked; who: string }
  | {
      kind: 'confirm';
      request: number;
      read: PlanRead;
      who: string;
      cautions: string[];
      leewayBedIds: string[] | null;
    };

/** The review before anything was read. */
export function initialReview(who: string): ReviewState {
  return {
    view: null,
    bed: null,
    fault: null,
    chosen: null,
    screen: { kind: 'morning' },
    who,
    scroll: 0,
    note: null,
    busy: null,
    requests: 0,
  };
}

/** Whether letters are typed into a field, so that they are no commands. */
export function isTyping({ screen }: ReviewState): boolean {
  if (screen.kind === 'confirm') return screen.isNaming && screen.overtaken === null;
  if (screen.kind !== 'form') return false;
  const field = screen.form.fields[screen.form.at];
  return field !== undefined && field.choices === null;
}

/** What a key makes of the review, and what it asks of the world. */
export interface KeyResult {
  state: ReviewState;
  act: Act | null;
}

/** Shows another screen from its first line. */
export function show(state: ReviewState, screen: Screen): ReviewState {
  return { ...state, screen, scroll: 0, note: null };
}
