/**
 * Standard normal numbers from even ones (Box & Muller 1958).
 *
 * @param unit gives numbers from 0 to below 1
 */
export function normals(unit: () => number): () => number {
  return () => Math.sqrt(-2 * Math.log(1 - unit())) * Math.cos(2 * Math.PI * unit());
}
