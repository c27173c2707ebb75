/**
 * The IANA zone that stands whole hours off UTC all year.
 *
 * The sign of these names is turned round: Etc/GMT+3 is three hours behind UTC.
 *
 * @param offsetH hours ahead of UTC, a whole number from -12 to 14
 */
export function zoneOfHours(offsetH: number): string {
  return offsetH === 0 ? 'Etc/GMT' : `Etc/GMT${offsetH > 0 ? '-' : '+'}${Math.abs(offsetH)}`;
}
