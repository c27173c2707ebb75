import { requireNumbers } from '../../input-range.ts';
import type { WeatherHour } from '../../sky/weather-hour.ts';
import {
  HOUR_MS,
  type Notice,
  type NoticeCode,
  type NoticeSeverity,
  relativeHumidityPct,
  spanOf,
} from '../notice.ts';

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

/** From when warmth and wetness together favour damping-off. */
const DAMPING_OFF_LIMITS = { warmC: 21, excessPct: 130 } as const;

/**
 * Damping-off weather over the hours given, or null: warm, and wetter than the loss asks for.
 *
 * The temperature limit is published; what counts as excess moisture is an assumption: water and
 * rain above a percentage of the loss.
 *
 * @param asked hours of weather; net water planned for them, mm; their loss, mm; both at least 0.
 * @throws RangeError when an input is outside its range.
 * Source: University of California IPM: commoner above 21 °C (70 °F) with excess moisture.
 */
export function dampingOffNotice(asked: {
  hours: readonly WeatherHour[];
  waterMm: number;
  lossMm: number;
  limits?: { warmC: number; excessPct: number };
}): Notice | null {
  const { hours, waterMm, lossMm, limits = DAMPING_OFF_LIMITS } = asked;
  const { warmC, excessPct } = limits;
  requireNumbers('dampingOffNotice', {
    waterMm: [waterMm, { atLeast: 0 }],
    lossMm: [lossMm, { atLeast: 0 }],
    excessPct: [excessPct, { atLeast: 100 }],
  });
  if (hours.length === 0) return null;
  const meanC = hours.reduce((sum, hour) => sum + hour.airTempC, 0) / hours.length;
  const rainMm = hours.reduce((sum, hour) => sum + hour.rainMm, 0);
  const givenMm = waterMm + rainMm;
  if (meanC <= warmC || givenMm <= (lossMm * excessPct) / 100) return null;
  return {
    code: 'damping_off',
    severity: 'note',
    inputs: { meanC, warmC, waterMm, rainMm, lossMm, excessPct },
    limits: {},
    ...spanOf(hours),
  };
}
