import type { z } from 'zod';
import { check } from '../../config/issue-problems.ts';
import { Refused } from '../refused.ts';

/**
 * A request's body, checked.
 * @throws Refused that names everything wrong with it.
 */
export function bodyOf<T>(schema: z.ZodType<T>, raw: unknown): T {
  const checked = check(schema, raw ?? {});
  if (checked.ok) return checked.value;
  const problems = checked.findings.map(
    ({ path, message }) => `${path.length === 0 ? 'body' : path.join('.')}: ${message}`,
  );
  throw new Refused(400, 'bad_request', problems.join('\n'));
}
