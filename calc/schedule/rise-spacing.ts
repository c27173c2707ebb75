import type { Station } from './site.ts';

const MINUTE_S = 60;

/**
 * The earliest offset from `fromS` on at which a station may start after those that have begun, so
 * that no minute sees more flow come up than may, seconds. A station whose own flow is more than
 * that starts alone in its minute: nothing else would ever let it run.
 *
 * @param begun Stations of the cycle in order of their offsets.
 * @param pumpRiseLPerMin Most by which the flow may rise within a minute; null: any.
 */
export function riseOffsetS(
  begun: readonly { station: Pick<Station, 'flowLPerMin'>; offsetS: number }[],
  next: { station: Pick<Station, 'flowLPerMin'>; fromS: number },
  pumpRiseLPerMin: number | null,
): number {
  if (pumpRiseLPerMin === null) return next.fromS;
  let offsetS = next.fromS;
  for (;;) {
    const within = begun.filter((one) => one.offsetS > offsetS - MINUTE_S);
    const [oldest] = within;
    const rise = within.reduce((sum, one) => sum + one.station.flowLPerMin, 0);
    if (oldest === undefined || rise + next.station.flowLPerMin <= pumpRiseLPerMin + 1e-9) {
      return offsetS;
    }
    offsetS = oldest.offsetS + MINUTE_S;
  }
}
