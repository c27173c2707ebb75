import { z } from 'zod';

/** Name of an output in the status, the log and the config's messages. */
export const outputNameSchema = z
  .string()
  .regex(/^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$/, {
    error: (issue) =>
      `is no name (got ${String(issue.input)}); use up to 40 letters, digits, dashes, dots or underscores, beginning with a letter or digit`,
  })
  .meta({ description: 'Name of this output; needed when two of a kind are declared.' });
