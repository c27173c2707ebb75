/**
 * A store as a bar of so many cells between the dry limit (left) and full (right): `#` is water, `.`
 * is empty, `|` stands where the reserve ends. `[##|##.....]`
 */
export function storeBar(
  store: { storeMm: number; reserveMm: number; capacityMm: number },
  cells: number,
): string {
  const { storeMm, reserveMm, capacityMm } = store;
  const part = (mm: number) => (capacityMm > 0 ? Math.min(1, Math.max(0, mm / capacityMm)) : 0);
  // A store that is not empty shows at least one cell, and one that is not full leaves one open.
  const exact = part(storeMm) * cells;
  const filled = exact > 0 ? Math.max(1, Math.floor(exact)) : 0;
  const reserveAt = Math.min(cells - 1, Math.round(part(reserveMm) * cells));
  let bar = '';
  for (let cell = 0; cell < cells; cell++) {
    bar += reserveMm > 0 && cell === reserveAt ? '|' : cell < filled ? '#' : '.';
  }
  return `[${bar}]`;
}
