import { z } from 'zod';

const FIXED = /^(?:utc)?([+-])(\d{1,2})(?::?(\d{2}))?$/i;

/**
 * A zone of stamps: an IANA name, or a fixed offset as `UTC-8` or `-08:00` for clocks that stay on
 * standard time all year. Fixed offsets come out as `UTC-8`, `UTC+5:30`.
 */
export const zoneName = z.string().transform((text, context) => {
  const fixed = FIXED.exec(text.trim());
  if (fixed) {
    const [, sign, hours, minutes] = fixed;
    const ending = minutes === undefined || minutes === '00' ? '' : `:${minutes}`;
    if (Number(hours) <= 14) return `UTC${sign}${Number(hours)}${ending}`;
  } else if (isIana(text)) {
    return text;
  }
  context.issues.push({
    code: 'custom',
    input: text,
    message: `is no time zone (got ${text}); write an IANA name such as America/Denver, or UTC-7`,
  });
  return z.NEVER;
});

function isIana(text: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: text });
    return text !== '';
  } catch {
    return false;
  }
}
