import type { QuantityKind } from '../../adapters/quantity-units.ts';

/** [text, kind, published value in the project's unit, half a unit of its last digit; 0: exact]. */
type Conversion = [string, QuantityKind, number, number];

/**
 * Exact by definition: the inch is 25.4 mm, the US gallon 231 in³, the nautical mile 1852 m, the
 * Fahrenheit degree 5/9 K (NIST SP 811, 2008, Appendix B; SP 811 prints these in bold).
 */
export const EXACT_CONVERSIONS: Conversion[] = [
  ['1 in', 'depth', 25.4, 0],
  ['1 in/h', 'rate', 25.4, 0],
  ['1 ft', 'length', 0.3048, 0],
  ['1 ft²', 'area', 0.09290304, 0],
  ['1 in²', 'area', 0.00064516, 0],
  ['1 ha', 'area', 10_000, 0],
  ['1 mph', 'speed', 0.44704, 0],
  ['36 km/h', 'speed', 10, 0],
  ['900 kn', 'speed', 463, 0],
  ['1 gal', 'volume', 3.785411784, 0],
  ['1 gpm', 'flow', 3.785411784, 0],
  ['1 m³/h', 'flow', 16.6666666667, 5e-11],
  ['1 bar', 'pressure', 100, 0],
  ['1 hPa', 'pressure', 0.1, 0],
  ['1 kWh/m²', 'solar', 3.6, 0],
  ['32 °F', 'temperature', 0, 0],
  ['212 °F', 'temperature', 100, 0],
  ['-40 °F', 'temperature', -40, 0],
  ['9 °F', 'temperature_difference', 5, 0],
];

/** NIST SP 811 (2008), Appendix B.8, seven digits as printed; figures written from memory. */
export const ROUNDED_CONVERSIONS: Conversion[] = [
  ['1 psi', 'pressure', 6.894757, 5e-7],
  ['1 gal', 'volume', 3.785412, 5e-7],
  ['1 kn', 'speed', 0.5144444, 5e-8],
  // Gallon per minute, 6.309020 E-05 m³/s.
  ['1 gpm', 'flow', 6.30902e-5 * 60_000, 5e-12 * 60_000],
];
