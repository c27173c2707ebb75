import { describe, expect, it } from 'vitest';
import { readSeedRate } from '../../adapters/seed-rate-text.ts';

describe('readSeedRate', () => {
  // Exact definitions: 1 lb = 0.45359237 kg, 1 ft = 0.3048 m (NIST SP 811, 2008, Appendix B).
  it.each([
    ['1.5 lb/1000ft2', (1.5 * 0.45359237) / (1000 * 0.3048 ** 2)],
    ['1.5 lbs / 1,000 sq ft', (1.5 * 0.45359237) / (1000 * 0.3048 ** 2)],
    ['2 lb/1000 ft²', (2 * 0.45359237) / (1000 * 0.3048 ** 2)],
    ['65 lb/acre', (65 * 0.45359237) / (43_560 * 0.3048 ** 2)],
    ['7.3 g/m²', 0.0073],
    ['73 kg/ha', 0.0073],
  ])('reads %s', (text, kgPerM2) => {
    const reading = readSeedRate(text);
    expect(reading.ok && Math.abs(reading.value / kgPerM2 - 1)).toBeLessThan(1e-12);
  });

  it.each(['1.5', 'lots', '3 in/h', '0 g/m2', '-1 g/m2', '900 g/m2'])('refuses %s', (text) => {
    const reading = readSeedRate(text);
    expect(reading.ok ? '' : reading.message).toContain(`got ${text}`);
  });
});
