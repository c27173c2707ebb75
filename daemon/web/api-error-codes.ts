import type { RefusalCode } from '../gate/judge-confirm.ts';

/** Every code with which the page's interface says no, besides the refusals of a confirm. */
export const API_ERROR_CODES = [
  'bad_request',
  'refused',
  'name_missing',
  'no_such_bed',
  'no_plan',
  'no_weather',
  'hold_unwritten',
  'sign_in',
  'wrong_pin',
  'too_many_attempts',
  'no_people',
  'watcher',
  'foreign_request',
  'unknown_host',
  'too_many_pages',
  'not_found',
  'fault',
] as const;

export type ApiErrorCode = (typeof API_ERROR_CODES)[number] | RefusalCode;
