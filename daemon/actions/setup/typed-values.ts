import { check } from '../../site/config/issue-problems.ts';
import { pipeSchema } from '../../site/config/water-supply.ts';

/** A number in the way of the config, or what is wrong with the text. */
type TypedNumber = { ok: true; text: string } | { ok: false; message: string };

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

/** Keys whose text is no quantity, or is read by readers of their own. */
const PLAIN = new Set([
  'name',
  'id',
  'position',
  'zone',
  'mains',
  'beds',
  'stations',
  'people',
  'url',
  'file',
]);

/** The same answers with decimal commas of quantities as points; what is ambiguous stays as typed. */
export function withDecimalPoints<T>(answers: T): T {
  return pointed(answers) as T;
}

function pointed(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(pointed);
  if (typeof value === 'object' && value !== null) {
    return Object.fromEntries(
      Object.entries(value).map(([key, part]) => [
        key,
        PLAIN.has(key) && typeof part !== 'object' ? part : pointed(part),
      ]),
    );
  }
  if (typeof value !== 'string' || !/^[+-]?\d*,\d[^,]*$/.test(value.trim())) return value;
  const number = typedNumber(value);
  return number.ok ? number.text : value;
}

const MOST_MAINS = 100;
/** Of one main with its flow. */
const MOST_LETTERS = 100;

/** Mains in one line, as they are typed: "north 250 gpm; south 250 gpm". */
export function mainsText(mains: readonly Readonly<Record<string, unknown>>[]): string {
  return mains.map(({ id, flow }) => `${id} ${flow}`).join('; ');
}

/** Mains from one line, or what is wrong with it. */
export function typedMains(text: string): { id: string; flow: string }[] | string {
  const pipes: { id: string; flow: string }[] = [];
  if (['-', ''].includes(text.trim())) return pipes;
  const parts = text.split(/;|\n/).filter((one) => one.trim() !== '');
  if (parts.length > MOST_MAINS || parts.some((part) => part.length > MOST_LETTERS)) {
    return `is too long (got ${text.length} letters); write a name and a flow for each main, such as north 250 gpm`;
  }
  for (const part of parts) {
    const [, name = '', amount = ''] =
      /^(.*?)[\s:,=]+([\d.,]+\s*[^\d\s].*)$/.exec(part.trim()) ?? [];
    const number = typedNumber(amount);
    if (name === '' || !number.ok) {
      return `has a main without its flow (got ${part.trim()}); write a name and a flow, such as north 250 gpm`;
    }
    const pipe = { id: shortId(name), flow: number.text };
    const checked = check(pipeSchema, pipe);
    if (!checked.ok) {
      return `main ${name}: ${checked.findings.map(({ message }) => message).join('; ')}`;
    }
    pipes.push(pipe);
  }
  return pipes;
}

/** An id from a name as people say it: "Green 1 (north)" -> "green-1-north". */
export function shortId(name: string): string {
  const id = name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40);
  return id.replace(/-+$/, '');
}
