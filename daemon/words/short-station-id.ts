/** A station that carries its bed's id before its own part is known by that part beside the bed. */
export function shortStationId(stationId: string, bedId: string): string {
  return stationId.startsWith(`${bedId}-`) ? stationId.slice(bedId.length + 1) : stationId;
}
