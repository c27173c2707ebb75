import { hourlyReferenceEt } from './reference-et-hourly.ts';
import { cloudinessOfHours } from './sky-clearness.ts';
import type { EtHour, SitePlace, WeatherHour } from './weather-hour.ts';

/**
 * Reference ET of each hour of a series, mm: the short reference of ASCE-EWRI 2005.
 *
 * Needs no time zone: the sun follows from the instant and the longitude. Clouds at night and under
 * a low sun follow from the hours before (see `cloudinessOfHours`), so a series that begins in the
 * evening before gives a better first night. Stretches may be missing between the hours.
 *
 * Inputs: complete hours in order of time, each once, wind at 2 m; the place. Throws RangeError when
 * the hours run backwards or a value is out of its range.
 * Source: ASCE-EWRI 2005, Eq. 1 and 34 to 65.
 * Example: Fallon, Nevada, 2015-07-01 18:00 UTC: 0.61 mm (Ref-ET's own run).
 */
export function referenceEtSeries({
  hours,
  place,
}: {
  hours: WeatherHour[];
  place: SitePlace;
}): EtHour[] {
  hours.forEach((hour, index) => {
    const before = hours[index - 1];
    if (before !== undefined && hour.startMs <= before.startMs) {
      throw new RangeError(
        `referenceEtSeries: hours out of order (got ${hour.startMs} after ${before.startMs}); give each hour once, in order of time`,
      );
    }
  });
  const cloudiness = cloudinessOfHours(hours, place);
  return hours.map((hour, index) => ({
    ...hour,
    referenceEtMm: hourlyReferenceEt({
      surface: 'asce_short',
      airTempC: hour.airTempC,
      vapourPressureKPa: hour.vapourPressureKPa,
      windMPerS: hour.windMPerS,
      solarMjPerM2: hour.solarMjPerM2,
      cloudinessFraction: cloudiness[index] ?? 1,
      elevationM: place.elevationM,
    }).referenceEtMm,
  }));
}
