import type { Preview } from '../../actions/preview-figures.ts';
import type { ApiErrorCode } from '../api-error-codes.ts';

export type { ActionChoice } from '../../actions/choices.ts';
export type { FieldView, FormView } from '../../actions/form-view.ts';
export type { ActionRequest } from '../../actions/list.ts';

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
