import type { WeatherHour } from '../../sky/weather-hour.ts';
import { requireNumbers } from '../../sprinkler/require-number.ts';
import type { Notice, NoticeCode, NoticeSeverity } from '../notice.ts';
import { HOUR_MS, relativeHumidityPct } from './hours.ts';

/** A rule over the hours from one noon to the next. */
interface PythiumRule {
  code: NoticeCode;
  severity: NoticeSeverity;
  highAboveC: number;
  lowAboveC: number;
  humidAbovePct: number;
  leastHumidHours: number;
  /** True when only humid hours after the high count. */
  humidAfterHigh: boolean;
}

/** Pythium blight weather, both published rules. */
const RULES: readonly PythiumRule[] = [
  {
    code: 'pythium_14_hours',
    severity: 'warn',
    highAboveC: 30,
    lowAboveC: 20,
    humidAbovePct: 90,
    leastHumidHours: 14,
    humidAfterHigh: true,
  },
  {
    code: 'pythium_9_hours',
    severity: 'note',
    highAboveC: 28,
    lowAboveC: 20,
    humidAbovePct: 90,
    leastHumidHours: 9,
    humidAfterHigh: false,
  },
];

/**
 * Pythium blight weather from one noon to the next, by both rules: at most two notices, the stricter
 * first. A wet grow-in canopy meets the rules sooner than the station does.
 *
 * @param asked hours of weather and the noon at which the window begins, epoch ms. Hours outside
 *   the window do not count; hours missing in it can only keep a rule from being met, and their
 *   number is given. An empty window raises nothing.
 * @throws RangeError when the noon is not a finite instant.
 * Source: Nutter, Cole & Schein 1983, Plant Disease 67:1126; University of Kentucky for the second.
 */
export function pythiumNotices(asked: { hours: readonly WeatherHour[]; noonMs: number }): Notice[] {
  requireNumbers('pythiumNotices', { noonMs: [asked.noonMs, {}] });
  const toMs = asked.noonMs + 24 * HOUR_MS;
  const window = asked.hours.filter(
    (hour) => hour.startMs >= asked.noonMs && hour.startMs + HOUR_MS <= toMs,
  );
  if (window.length === 0) return [];
  const highC = Math.max(...window.map((hour) => hour.airTempC));
  const lowC = Math.min(...window.map((hour) => hour.airTempC));
  const highAtMs = window.find((hour) => hour.airTempC === highC)?.startMs ?? asked.noonMs;

  return RULES.flatMap((rule) => {
    const humidHours = window.filter(
      (hour) =>
        relativeHumidityPct(hour) > rule.humidAbovePct &&
        (!rule.humidAfterHigh || hour.startMs > highAtMs),
    ).length;
    const met =
      highC > rule.highAboveC && lowC > rule.lowAboveC && humidHours >= rule.leastHumidHours;
    if (!met) return [];
    return [
      {
        code: rule.code,
        severity: rule.severity,
        inputs: {
          highC,
          lowC,
          humidHours,
          leastHumidHours: rule.leastHumidHours,
          missingHours: 24 - window.length,
        },
        limits: { highAboveC: rule.highAboveC, lowAboveC: rule.lowAboveC },
        fromMs: asked.noonMs,
        toMs,
      },
    ];
  });
}
