import { dewPointC, saturationKPa } from '../sky/air.ts';
import { skyOfHours } from '../sky/net-radiation.ts';
import { referenceEtOfHours } from '../sky/reference-et.ts';
import type { EtHour, SitePlace } from '../sky/weather-hour.ts';
import type { ErrorSize } from './forecast-errors.ts';
import { scaledToMean } from './scaled-to-mean.ts';
import { sunOfMembers } from './sun-futures.ts';

/** What a member adds to an hour of the forecast. */
export interface HourError extends ErrorSize {
  /** Rain against what was foretold, in any unit that is the same for all members. */
  rainFactor: number;
}

/** Coldest and hottest that an hour may be made. */
const COLDEST_C = -79;
const HOTTEST_C = 79;
const STRONGEST_M_PER_S = 100;
/** The dew point that very dry air is taken to have, below which logarithms lose their meaning. */
const DRIEST_KPA = 0.002;
/**
 * The hours of each member: the forecast's with the member's errors, held within what can be, and
 * centred so that the mean of each field over the members is the forecast's in each hour: air
 * temperature, vapour pressure, wind, sun, rain. Reference ET is worked out from the member's weather
 * and then centred alike, which moves it by a part in a hundred: it is no straight line of its fields.
 *
 * @param hours The forecast, in order of time.
 * @param errors For each member its error in an hour, or null where all members are the forecast.
 * @returns One list of hours for each member.
 */
export function memberWeather(
  hours: readonly EtHour[],
  place: SitePlace,
  {
    members,
    errorAt,
  }: { members: number; errorAt(member: number, hour: number): HourError | null },
): EtHour[][] {
  const sky = skyOfHours(hours, place);
  const weather = Array.from({ length: members }, (): EtHour[] => []);
  hours.forEach((hour, index) => {
    const errors = Array.from({ length: members }, (_, member) => errorAt(member, index));
    const told = errors.flatMap((error) => error ?? []);
    const made =
      told.length === members ? hourOfMembers(hour, sky[index]?.clearMjPerM2 ?? 0, told) : null;
    weather.forEach((list, member) => {
      list.push(made?.[member] ?? hour);
    });
  });
  const et = weather.map((list) => referenceEtOfHours(list, place, sky));
  hours.forEach((hour, index) => {
    const centred = (of: 'referenceEtMm' | 'wetNightEtMm') =>
      centredEt(
        Float64Array.from(et, (member) => member[of][index] ?? 0),
        hour[of],
      );
    const reference = centred('referenceEtMm');
    const wetNight = centred('wetNightEtMm');
    weather.forEach((list, member) => {
      const one = list[index];
      if (one === undefined || one === hour) return;
      one.referenceEtMm = reference[member] ?? hour.referenceEtMm;
      one.wetNightEtMm = wetNight[member] ?? hour.wetNightEtMm;
    });
  });
  return weather;
}

/** The forecast's hour with each member's error; its ET is still the forecast's. */
function hourOfMembers(hour: EtHour, clearMjPerM2: number, errors: readonly HourError[]): EtHour[] {
  const each = (of: (error: HourError) => number) => Float64Array.from(errors, of);
  const warmer = mean(each(({ airTempK }) => airTempK));
  const moister = mean(each(({ dewPointK }) => dewPointK));
  const airC = each(({ airTempK }) =>
    Math.min(HOTTEST_C, Math.max(COLDEST_C, hour.airTempC + airTempK - warmer)),
  );
  const mostVapour = airC.map(saturationKPa);
  const vapour = Math.min(hour.vapourPressureKPa, mean(mostVapour));
  const dewC = dewPointC(Math.max(DRIEST_KPA, vapour));
  const vapours = scaledToMean(
    each(({ dewPointK }) =>
      saturationKPa(Math.min(HOTTEST_C, Math.max(COLDEST_C, dewC + dewPointK - moister))),
    ),
    mostVapour,
    vapour,
  );
  const winds = scaledToMean(
    each(({ windLog }) => Math.exp(windLog)),
    Math.max(STRONGEST_M_PER_S, hour.windMPerS),
    hour.windMPerS,
  );
  const suns = sunOfMembers({
    solarMjPerM2: hour.solarMjPerM2,
    clearMjPerM2,
    errors: each(({ sunFraction }) => sunFraction),
  });
  const rains = scaledToMean(
    each(({ rainFactor }) => rainFactor),
    Number.POSITIVE_INFINITY,
    hour.rainMm,
  );
  return errors.map((_, member) => ({
    ...hour,
    airTempC: airC[member] ?? hour.airTempC,
    vapourPressureKPa: vapours[member] ?? hour.vapourPressureKPa,
    windMPerS: winds[member] ?? hour.windMPerS,
    solarMjPerM2: suns[member] ?? hour.solarMjPerM2,
    rainMm: rains[member] ?? hour.rainMm,
  }));
}

/**
 * ET of the members with the forecast's as their mean: shifted, or scaled where a shift would turn a
 * loss into dew.
 */
function centredEt(values: Float64Array, forecastMm: number): Float64Array {
  const meanMm = mean(values);
  const shifted = values.map((value) => value + forecastMm - meanMm);
  const turned = shifted.some((mm, member) => mm < 0 && (values[member] ?? 0) >= 0);
  return turned && meanMm > 0 && forecastMm >= 0
    ? values.map((value) => (value * forecastMm) / meanMm)
    : shifted;
}

function mean(values: Float64Array): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
