import type { Language } from '../../../../adapters/contract.ts';
import type { Preview } from '../../../actions/preview-figures.ts';
import type { RefusalCode } from '../../../site/gate/judge-confirm.ts';

export type { ActionChoice, FieldView, FormView } from '../../../actions/form-view.ts';
export type { ActionRequest } from '../../../actions/list.ts';

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
  /** Beds within whose leeway the day may be followed; null: as laid. */
  leewayBedIds: string[] | null;
}

export interface ConfirmView {
  line: string;
  /** Whether the daemon may follow the day, and on which beds. */
  leeway: string;
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
  /** The person's own language; the site's where nobody has signed in. */
  language: Language;
  /** Until the sign-in ends if nothing more is done, milliseconds; null: nobody is signed in. */
  leftMs: number | null;
  /** Names to choose from at the sign-in; empty without people. */
  names: string[];
  /** True: a hold is taken from one who has not signed in. */
  stopByAnyone: boolean;
}

/** What a person saw on a bed, as the page sends it. What was not looked at is left out. */
export interface LookBody {
  bedId: string;
  surface?: 'dark' | 'lightening' | 'dry' | 'puddle' | 'wash';
  coverFraction?: number;
  leafMm?: number;
  /** Volume of water in a volume of sand, with the depth of the reading. */
  probeFraction?: number;
  probeDepthMm?: number;
  note?: string;
  who: string;
}

/** A look that was kept: what it says and what it changed, one sentence each. */
export interface LookDoneView {
  lookId: number;
  lines: string[];
}

/** Every code with which the page's interface says no, besides the refusals of a confirm. */
export const API_ERROR_CODES = [
  'bad_request',
  'refused',
  'name_missing',
  'no_such_bed',
  'no_plan',
  'no_weather',
  'newer_asked',
  'too_busy',
  'not_reckoned',
  'hold_unwritten',
  'not_stopped',
  'store_refuses',
  'sign_in',
  'wrong_pin',
  'too_many_attempts',
  'no_people',
  'watcher',
  'foreign_request',
  'unknown_host',
  'unknown_proxy',
  'too_many_pages',
  'busy',
  'not_found',
  'fault',
] as const;

export type ApiErrorCode = (typeof API_ERROR_CODES)[number] | RefusalCode;
