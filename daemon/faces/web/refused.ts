import type { z } from 'zod';
import { REQUEST_BOUNDS, tooMuch } from '../../site/config/bounded-input.ts';
import { check } from '../../site/config/issue-problems.ts';
import { pathOf } from '../../site/config/problems.ts';
import type { ApiError, ApiErrorCode } from './views/action-view.ts';

/** An answer that says no: what is wrong and what to do, with a code that never changes. */
export class Refused extends Error {
  override name = 'Refused';
  readonly status: number;
  readonly code: ApiErrorCode;
  readonly more: Partial<ApiError>;

  constructor(status: number, code: ApiErrorCode, message: string, more: Partial<ApiError> = {}) {
    super(message);
    this.status = status;
    this.code = code;
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
  if (left > 0) problems.push(`and ${left} more; mend these first`);
  throw new Refused(400, 'bad_request', problems.join('\n'));
}
