import type { z } from 'zod';
import { check } from '../../config/issue-problems.ts';
import { pathOf } from '../../config/problems.ts';
import { REQUEST_BOUNDS, tooMuch } from '../../config/too-much.ts';
import { Refused } from '../refused.ts';

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
