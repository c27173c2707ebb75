import { stageCoefficient } from '../growth/stage-coefficient.ts';
import type { Stage } from '../growth/stages.ts';
import { saturationKPa } from '../sky/air.ts';
import type { EtHour } from '../sky/weather-hour.ts';

/**
 * Loss of a bed in a stage against the reference, over the air of the hours given, no unit.
 *
 * @param hours At least one.
 * @param seenCoverFraction Part of the bed that a person saw green, 0 to 1; left out: the stage's.
 */
export function lossCoefficient(
  stage: Stage,
  hours: readonly EtHour[],
  seenCoverFraction: number = stage.coverFraction,
): number {
  const days = Math.max(1, hours.length / 24);
  const humidityPct = (hour: EtHour) =>
    Math.min(100, (100 * hour.vapourPressureKPa) / saturationKPa(hour.airTempC));
  const total = (pick: (hour: EtHour) => number) =>
    hours.reduce((sum, hour) => sum + pick(hour), 0);
  const seen = { ...stage, coverFraction: seenCoverFraction };
  return stageCoefficient(seen, {
    windMPerS: total((hour) => hour.windMPerS) / Math.max(1, hours.length),
    leastHumidityPct: Math.min(100, ...hours.map(humidityPct)),
    referenceEtMm:
      Math.max(
        0,
        total((hour) => hour.referenceEtMm),
      ) / days,
  });
}
