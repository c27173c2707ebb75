/** A number in the way of the config, or what is wrong with the text. */
export type TypedNumber = { ok: true; text: string } | { ok: false; message: string };

const NUMBER = /^([+-]?)(\d[\d.,]*|[.,]\d+)(.*)$/s;

/**
 * Puts decimal commas and thousands marks of a typed quantity into the way of the config. What could
 * be read in two ways is refused, and not guessed.
 *
 * @param known what the text around it proves of its commas
 */
export function typedNumber(
  text: string,
  known: { commaIsDecimal?: boolean; commaPartsThousands?: boolean } = {},
): TypedNumber {
  const { commaIsDecimal = false, commaPartsThousands = false } = known;
  const trimmed = text.trim();
  const [, sign = '', digits, rest = ''] = NUMBER.exec(trimmed) ?? [];
  if (digits === undefined) return { ok: true, text: trimmed };
  const well = (number: string): TypedNumber => ({ ok: true, text: `${sign}${number}${rest}` });
  const hasComma = digits.includes(',');
  const hasDot = digits.includes('.');
  if (hasComma && hasDot) {
    if (/^\d{1,3}(,\d{3})+\.\d*$/.test(digits)) return well(digits.replaceAll(',', ''));
    if (/^\d{1,3}(\.\d{3})+,\d*$/.test(digits)) {
      return well(digits.replaceAll('.', '').replace(',', '.'));
    }
    return { ok: false, message: `is no number (got ${trimmed}); write it like 1234.5` };
  }
  const mark = hasComma ? ',' : '.';
  if (/^[1-9]\d{0,2}([.,]\d{3}){2,}$/.test(digits)) return well(digits.replaceAll(mark, ''));
  const isThousands = /^[1-9]\d{0,2}[.,]\d{3}$/.test(digits);
  if (isThousands && (hasComma || commaIsDecimal)) {
    const whole = digits.replace(mark, '');
    if (hasComma && commaPartsThousands) return well(whole);
    return {
      ok: false,
      message: `can be read in two ways (got ${trimmed}); write ${whole}${rest}, or ${digits.replace(mark, '.').replace(/0+$/, '').replace(/\.$/, '.0')}${rest}`,
    };
  }
  if (hasComma && digits.split(',').length > 2) {
    return { ok: false, message: `is no number (got ${trimmed}); write it like 1234.5` };
  }
  return well(hasComma ? digits.replace(',', '.').replace(/^\./, '0.') : digits);
}

/** Whether a text holds a decimal comma that can be nothing else. */
export function hasDecimalComma(text: string): boolean {
  return /^[+-]?\d*,(\d{1,2}|\d{4,})(\D|$)/.test(text.trim()) || /^[+-]?0,\d/.test(text.trim());
}
