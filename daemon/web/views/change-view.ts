import type { WindChoice } from '../../../calc/schedule/wind-answers.ts';
import type { Preview } from '../../acts/preview-figures.ts';
import type { ApiErrorCode } from '../api-error-codes.ts';

/** A change that a person makes or thinks of. The page sends it to preview and to change. */
export type ChangeRequest =
  | { kind: 'call'; hotterK: number; windFraction: number; cloudierFraction: number }
  | {
      kind: 'keep_off';
      beds: 'all' | string[];
      why: string;
      /** Null: until a person ends it. */
      untilMs: number | null;
      /** After a spray: how long its label keeps water off; 0: none. */
      labelIntervalS: number;
    }
  | { kind: 'end_keep_off'; keepOffId: number; byMistake: boolean }
  | {
      kind: 'water';
      bedId: string;
      /** Either a depth by hand over the bed, or a station that ran. */
      amount: { netMm: number } | { stationId: string; runS: number };
      /** Null: just now. */
      startMs: number | null;
    }
  | { kind: 'rotation'; bedId: string; rotations: number }
  | { kind: 'stage'; bedIds: string[]; to: string; why: string }
  | { kind: 'stage_back'; bedIds: string[]; why: string }
  | { kind: 'trim'; bedId: string; trimPct: number; why: string }
  /** An answer to what the plan asks about the wind. */
  | { kind: 'wind'; choice: WindChoice }
  /** A fresh plan; `lift` waters held beds again. */
  | { kind: 'replan'; lift: 'none' | 'all' | string[] };

export type BedPreview = Preview['beds'][number];
export type BedFigures = BedPreview['after'];

/** What a change would do, and how long it took to work out. */
export interface PreviewView extends Preview {
  tookMs: number;
}

/** What a change did: rows are kept, and a new revision is held. */
export interface ChangeView {
  /** What was done, one sentence each. */
  lines: string[];
  /** The held revision that followed; null when none could be made. */
  plan: { revision: number; digest: string } | null;
  /** Against the plan of today before; one line a bed. */
  changes: string[];
}

export interface ConfirmBody {
  revision: number;
  digest: string;
  who: string;
  cautions: string[];
}

export interface ConfirmView {
  line: string;
  /** That no receiver has it yet, at the moment of the confirm. */
  onItsWay: string;
  /** Runs that had begun before the confirm: never made up for. */
  missed: string[];
  orderId: string;
}

export interface HoldBody {
  beds: 'all' | string[];
  why: string;
  untilMs: number | null;
  who: string;
}

export interface HoldDoneView {
  line: string;
  /** Output by output, what is true. */
  outputs: string[];
  holdId: number;
  orderId: string;
}

/** Every answer that is not well: what is wrong and what to do. */
export interface ApiError {
  code: ApiErrorCode;
  message: string;
  /** After a refused confirm: the newest plan, and what it changes against the one that was read. */
  newest?: { revision: number; digest: string };
  changes?: string[];
  /** Seconds to wait before another attempt. */
  retryAfterS?: number;
}

/** Who is asking. */
export interface MeView {
  /** False: on this machine without people, the page asks for a name and sends it along. */
  needsPin: boolean;
  name: string | null;
  role: 'keeper' | 'watcher' | null;
  /** Until the sign-in ends if nothing more is done, milliseconds; null: nobody is signed in. */
  leftMs: number | null;
  /** Names to choose from at the sign-in; empty without people. */
  names: string[];
  /** True: a hold is taken from one who has not signed in. */
  stopByAnyone: boolean;
}
