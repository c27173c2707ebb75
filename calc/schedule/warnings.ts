import type { WeatherField } from '../sky/weather-hour.ts';
import type { BedPlan, PlanWeather, Shortage } from './day-plan.ts';
import { longRuns } from './long-runs.ts';
import type { PlanWarning, WarningCode } from './plan-warning.ts';
import type { SayMeasures } from './reasons.ts';
import type { Site } from './site.ts';

/** Above this part of the water given, what drains is worth a warning. */
const DRAINS_FRACTION = 0.15;

/** What people call the fields of the weather. */
export const FIELD_WORDS: Record<WeatherField, string> = {
  airTempC: 'Air temperature',
  vapourPressureKPa: 'Humidity',
  windMPerS: 'Wind',
  solarMjPerM2: 'Sun',
  rainMm: 'Rain',
};

/** Everything the person must know about a plan before confirming it. */
export function planWarnings(input: {
  site: Site;
  beds: readonly BedPlan[];
  shortages: readonly Shortage[];
  weather: PlanWeather;
  say: SayMeasures;
}): PlanWarning[] {
  const { site, beds, shortages, weather, say } = input;
  const warnings: PlanWarning[] = [];
  const nameOf = new Map(beds.map((bed) => [bed.bedId, bed.name]));
  const add = (code: WarningCode, bedId: string | null, text: string) =>
    warnings.push({ code, bedId, text });

  for (const one of shortages) {
    const dry =
      one.minutesBelowDryLimit > 0
        ? `, ${one.minutesBelowDryLimit} min of it below the dry limit`
        : '';
    add(
      'does_not_fit',
      one.bedId,
      `${nameOf.get(one.bedId)} is below its reserve from ${say.timeOf(one.fromMs)} to ${say.timeOf(one.toMs)}${dry}: ${one.because}.`,
    );
  }
  for (const bed of beds) {
    if (bed.drainedMm > bed.netMm * DRAINS_FRACTION) {
      add(
        'drains',
        bed.bedId,
        `${bed.name}: ${say.depth(bed.drainedMm)} of ${say.depth(bed.netMm)} drains below the seedbed, because one rotation is more than it has room for.`,
      );
    }
  }
  for (const bed of beds) {
    const text = stationsDiffer(bed, say);
    if (text !== null) add('stations_differ', bed.bedId, text);
  }
  warnings.push(...longRuns(site, beds, say));
  if (weather.hoursByOrigin.carried > 0) {
    add(
      'weather_carried',
      null,
      `No forecast for ${weather.hoursByOrigin.carried} h: an earlier day's weather stands in.`,
    );
  }
  if (weather.hoursByOrigin.usual > 0) {
    add(
      'weather_usual',
      null,
      `No forecast for ${weather.hoursByOrigin.usual} h: your usual day of the month stands in.`,
    );
  }
  for (const one of weather.filled) {
    add('weather_filled', null, `${FIELD_WORDS[one.field]} filled for ${one.hours} h: ${one.how}.`);
  }
  const assumedRates = site.stations.filter((station) => !station.rateMeasured).length;
  if (assumedRates > 0) {
    add(
      'rate_assumed',
      null,
      `${assumedRates} of ${site.stations.length} stations run on an assumed rate: a catch-can test settles it.`,
    );
  }
  const assumedSand = site.beds.filter((bed) => bed.sand.basis === 'class_default').length;
  if (assumedSand > 0) {
    add(
      'sand_assumed',
      null,
      `${assumedSand} of ${site.beds.length} beds use a default for their sand, not its lab report.`,
    );
  }
  return warnings;
}

/** What a person must know of stations that give their parts more than a turn more or less; or null. */
function stationsDiffer({ name, stations = [] }: BedPlan, say: SayMeasures): string | null {
  const [first] = stations;
  if (first === undefined) return null;
  const least = stations.reduce((low, one) => (one.netMm < low.netMm ? one : low), first);
  const most = stations.reduce((high, one) => (one.netMm > high.netMm ? one : high), first);
  const turnMm = Math.max(
    ...stations.map(({ netMm, rotations }) => (rotations > 0 ? netMm / rotations : 0)),
  );
  if (most.netMm - least.netMm <= turnMm) return null;
  return `${name}: station ${most.stationId} gives its part ${say.depth(most.netMm)} and ${least.stationId} only ${say.depth(least.netMm)}: one turn of ${most.stationId} brings ${say.depth(most.netMm / Math.max(1, most.rotations))}. A smaller nozzle or a shorter turn there would even it out.`;
}
