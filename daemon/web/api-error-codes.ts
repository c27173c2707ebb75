import type { RefusalCode } from '../gate/judge-confirm.ts';

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
