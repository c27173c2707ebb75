import {
  airPressureKPa,
  psychrometricKPaPerC,
  saturationSlopeKPaPerC,
} from '../../../../calc/sky/air.ts';
import { cloudinessOfHours } from '../../../../calc/sky/net-radiation.ts';
import { hourlyReferenceEt } from '../../../../calc/sky/reference-et.ts';
import type { EtHour, SitePlace } from '../../../../calc/sky/weather-hour.ts';

/** Cd of the short reference by day and by night, s/m (ASCE-EWRI 2005, Table 1). */
const DAY_SPERM = 0.24;
const NIGHT_SPERM = 0.96;

/**
 * By how much more a surface loses in each hour of night that does not close its stomata, mm: the
 * short reference with its resistance of the day kept all night, less the standard's own. Nothing by
 * day, and with dew more dew.
 *
 * Both terms of the equation stand over Delta + gamma (1 + Cd u2), so that the two figures stand to
 * each other as these denominators do.
 */
export function openNightSurplusMm(hours: readonly EtHour[], place: SitePlace): number[] {
  const cloudiness = cloudinessOfHours([...hours], place);
  const gamma = psychrometricKPaPerC(airPressureKPa(place.elevationM));
  return hours.map((hour, index) => {
    const { netRadiationMjPerM2, referenceEtMm } = hourlyReferenceEt({
      ...hour,
      surface: 'asce_short',
      cloudinessFraction: cloudiness[index] ?? 1,
      elevationM: place.elevationM,
    });
    if (netRadiationMjPerM2 >= 0) return 0;
    const Delta = saturationSlopeKPaPerC(hour.airTempC);
    const below = (Cd: number) => Delta + gamma * (1 + Cd * hour.windMPerS);
    return referenceEtMm * (below(NIGHT_SPERM) / below(DAY_SPERM) - 1);
  });
}
