import type { z } from 'zod';
import { REQUEST_BOUNDS, tooMuch } from '../../site/config/bounded-input.ts';
import { check } from '../../site/config/issue-problems.ts';
import { pathOf } from '../../site/config/problems.ts';
import { type Message, sayIn, sayMessage } from '../../words/language.ts';
import type { ApiError, ApiErrorCode } from './views/action-view.ts';

/**
 * An answer that says no: what is wrong and what to do, with a code that never changes. Its message is
 * English; whoever asked is told in their language.
 */
export class Refused extends Error {
  override name = 'Refused';
  readonly status: number;
  readonly code: ApiErrorCode;
  readonly told: Message | string;
  readonly more: Partial<ApiError>;

  constructor(
    status: number,
    code: ApiErrorCode,
    told: Message | string,
    more: Partial<ApiError> = {},
  ) {
    super(sayMessage(told, sayIn('en', 'page')));
    this.status = status;
    this.code = code;
    this.told = told;
    this.more = more;
  }
}

/** So many problems of one request are told. */
const MOST_PROBLEMS = 30;

/**
 * A request's body, checked.
 * @throws Refused that names everything wrong with it.
 */
export function bodyOf<T>(schema: z.ZodType<T>, raw: unknown): T {
  const over = tooMuch(raw, REQUEST_BOUNDS);
  if (over !== null) {
    throw new Refused(400, 'bad_request', `${pathOf(over.path) || 'body'}: ${over.message}`);
  }
  const checked = check(schema, raw ?? {});
  if (checked.ok) return checked.value;
  const left = checked.findings.length - MOST_PROBLEMS;
  const problems = checked.findings
    .slice(0, MOST_PROBLEMS)
    .map(({ path, message }) => `${path.length === 0 ? 'body' : path.join('.')}: ${message}`);
  throw new Refused(400, 'bad_request', {
    key: 'page_refused.problems',
    values: { problems: problems.join('\n'), more: Math.max(0, left) },
  });
}
