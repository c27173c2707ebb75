import { z } from 'zod';

const ID = /^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$/;

/**
 * An id of a bed, station, pipe or site. Ids travel in topics, file names and CSV cells, hence the
 * narrow alphabet.
 */
export const idSchema = z
  .string({
    error: ({ input }) =>
      input === undefined || input === null
        ? 'is missing; write a short id such as green-1'
        : `is not text (got ${String(input)}); put it between quotes`,
  })
  .regex(ID, {
    error: (issue) =>
      `is no id (got ${String(issue.input)}); use up to 40 letters, digits, dashes, dots or underscores, beginning with a letter or digit`,
  });
