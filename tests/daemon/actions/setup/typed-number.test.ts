import { describe, expect, it } from 'vitest';
import { hasDecimalComma, typedNumber } from '../../../../daemon/actions/setup/typed-values.ts';

describe('numbers as they are typed', () => {
  it.each([
    ['0.72 in/h', '0.72 in/h'],
    ['0,72 in/h', '0.72 in/h'],
    ['27,4', '27.4'],
    ['-2,5 °C', '-2.5 °C'],
    ['1,234.5 ft²', '1234.5 ft²'],
    ['1.234,5 m²', '1234.5 m²'],
    ['1,234,567', '1234567'],
    ['0,720', '0.720'],
    ['5.125 m', '5.125 m'],
    ['flat', 'flat'],
    ['12', '12'],
    [',5 in', '0.5 in'],
  ])('takes %s as %s', (text, wanted) => {
    expect(typedNumber(text)).toEqual({ ok: true, text: wanted });
  });

  it.each([
    ['5,000 ft²', 'can be read in two ways (got 5,000 ft²); write 5000 ft², or 5.0 ft²'],
    ['1,2,3', 'is no number (got 1,2,3)'],
    ['1,2.3,4', 'is no number (got 1,2.3,4)'],
  ])('refuses to guess at %s', (text, message) => {
    const got = typedNumber(text);
    expect(got.ok ? '' : got.message).toContain(message);
  });

  it('doubts a point too, where others have a decimal comma', () => {
    expect(typedNumber('5.000', { commaIsDecimal: true }).ok).toBe(false);
    expect(typedNumber('5.000').ok).toBe(true);
    expect(['0,72', '27,4 gpm', '3,1415'].every(hasDecimalComma)).toBe(true);
    expect(['5,000', '12', '1,234.5', 'a,b'].some(hasDecimalComma)).toBe(false);
  });
});
