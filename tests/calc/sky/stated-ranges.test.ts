import { describe, expect, it } from 'vitest';
import {
  airPressureKPa,
  dewPointC,
  psychrometricKPaPerC,
  saturationKPa,
  vapourPressureOfHumidityKPa,
  windAt2mMPerS,
} from '../../../calc/sky/air.ts';
import { DAY_CALL_BOUNDS } from '../../../calc/sky/day-call.ts';
import {
  cloudinessFraction,
  netLongWaveHourMjPerM2,
  netShortWaveMjPerM2,
} from '../../../calc/sky/net-radiation.ts';
import { type DayOutlook, outlookHours } from '../../../calc/sky/outlook-hours.ts';
import { penmanMonteithMm } from '../../../calc/sky/reference-et.ts';
import {
  clearSkyMjPerM2,
  daySunSine,
  solarFromSunshineMjPerM2,
  transmissionFromRangeFraction,
  turbidClearSkyMjPerM2,
} from '../../../calc/sky/solar-radiation.ts';
import {
  declinationRad,
  extraterrestrialMjPerM2,
  sunOfHour,
  sunsetHourAngleRad,
} from '../../../calc/sky/sun-geometry.ts';
import { sunTimes } from '../../../calc/sky/sun-times.ts';
import { holdToRanges } from '../../stated-range.ts';

const sky = { extraterrestrialMjPerM2: 3, pressureKPa: 100, vapourPressureKPa: 1, sunSine: 0.5 };
const step = {
  slopeKPaPerC: 0.2,
  psychrometricKPaPerC: 0.067,
  netRadiationMjPerM2: 1,
  soilHeatMjPerM2: 0.1,
  airTempC: 20,
  windMPerS: 2,
  vapourDeficitKPa: 1,
  numerator: 37,
  denominatorSPerM: 0.24,
};
const outlook: DayOutlook = {
  dayStartMs: Date.UTC(2026, 6, 1, 6),
  dayEndMs: Date.UTC(2026, 6, 2, 6),
  origin: 'forecast',
  highC: 80,
  lowC: -80,
  windMPerS: 3,
  windHeightM: 10,
  rainMm: 0,
  place: { latitudeDeg: 39, longitudeDeg: -105, elevationM: 1600 },
};
const place = { latitudeDeg: 39, longitudeDeg: -105 };
const longWave = {
  airTempC: 20,
  vapourPressureKPa: 1,
  cloudinessFraction: 0.5,
  standard: 'fao56' as const,
};

describe('the ranges of the sky', () => {
  holdToRanges({
    airPressureKPa: { least: -500, most: 6000, call: airPressureKPa },
    psychrometricKPaPerC: { least: 30, most: 115, call: psychrometricKPaPerC },
    saturationKPa: { least: -80, most: 80, call: saturationKPa },
    'clearSkyMjPerM2 elevation': {
      least: -500,
      most: 6000,
      call: (elevationM) => clearSkyMjPerM2({ extraterrestrialMjPerM2: 3, elevationM }),
    },
    'clearSkyMjPerM2 sun': {
      least: 0,
      most: 60,
      call: (mj) => clearSkyMjPerM2({ extraterrestrialMjPerM2: mj, elevationM: 0 }),
    },
    'turbid sun': {
      least: 0,
      most: 60,
      call: (mj) => turbidClearSkyMjPerM2({ ...sky, extraterrestrialMjPerM2: mj }),
    },
    'turbid pressure': {
      least: 30,
      most: 115,
      call: (pressureKPa) => turbidClearSkyMjPerM2({ ...sky, pressureKPa }),
    },
    'turbid vapour': {
      least: 0,
      most: 20,
      call: (vapourPressureKPa) => turbidClearSkyMjPerM2({ ...sky, vapourPressureKPa }),
    },
    'turbid sine': {
      least: -1,
      most: 1,
      call: (sunSine) => turbidClearSkyMjPerM2({ ...sky, sunSine }),
    },
    turbidity: {
      least: 0.5,
      most: 1,
      call: (turbidityFraction) => turbidClearSkyMjPerM2({ ...sky, turbidityFraction }),
    },
    'daySunSine latitude': {
      least: -90,
      most: 90,
      call: (latitudeDeg) => daySunSine({ latitudeDeg, dayOfYear: 9 }),
    },
    'daySunSine day': {
      least: 1,
      most: 366,
      call: (dayOfYear) => daySunSine({ latitudeDeg: 9, dayOfYear }),
    },
    dewPointC: { least: 0.001, most: 40, call: dewPointC },
    humidity: {
      least: 0,
      most: 100,
      call: (relativeHumidityPct) =>
        vapourPressureOfHumidityKPa({ airTempC: 20, relativeHumidityPct }),
    },
    netShortWave: { least: 0, most: 60, call: netShortWaveMjPerM2 },
    cloudiness: { least: 0, most: 1e6, call: cloudinessFraction },
    'netLongWave air': {
      least: -80,
      most: 80,
      call: (airTempC) => netLongWaveHourMjPerM2({ ...longWave, airTempC }),
    },
    'netLongWave vapour': {
      least: 0,
      most: 20,
      call: (vapourPressureKPa) => netLongWaveHourMjPerM2({ ...longWave, vapourPressureKPa }),
    },
    'netLongWave clouds': {
      least: 0.05,
      most: 1,
      call: (fraction) => netLongWaveHourMjPerM2({ ...longWave, cloudinessFraction: fraction }),
    },
    'penman radiation': {
      least: -60,
      most: 60,
      call: (mj) => penmanMonteithMm({ ...step, netRadiationMjPerM2: mj }),
    },
    'penman soil': {
      least: -60,
      most: 60,
      call: (mj) => penmanMonteithMm({ ...step, soilHeatMjPerM2: mj }),
    },
    'penman air': {
      least: -80,
      most: 80,
      call: (airTempC) => penmanMonteithMm({ ...step, airTempC }),
    },
    'penman wind': {
      least: 0,
      most: 120,
      call: (windMPerS) => penmanMonteithMm({ ...step, windMPerS }),
    },
    'penman deficit': {
      least: 0,
      most: 60,
      call: (kPa) => penmanMonteithMm({ ...step, vapourDeficitKPa: kPa }),
    },
    sunshine: {
      least: 0,
      most: 12,
      call: (sunshineH) =>
        solarFromSunshineMjPerM2({ extraterrestrialMjPerM2: 30, sunshineH, daylightH: 12 }),
    },
    daylight: {
      least: 0.01,
      most: 24,
      call: (daylightH) =>
        solarFromSunshineMjPerM2({ extraterrestrialMjPerM2: 30, sunshineH: 0, daylightH }),
    },
    'sunshine above': {
      least: 0,
      most: 60,
      call: (mj) =>
        solarFromSunshineMjPerM2({ extraterrestrialMjPerM2: mj, sunshineH: 6, daylightH: 12 }),
    },
    'range low': {
      least: -80,
      most: 80,
      call: (lowC) => transmissionFromRangeFraction({ lowC, highC: 80 }),
    },
    'range high': {
      least: 10,
      most: 80,
      call: (highC) => transmissionFromRangeFraction({ lowC: 10, highC }),
    },
    'day of year': { least: 1, most: 366, call: declinationRad },
    latitude: {
      least: -90,
      most: 90,
      call: (latitudeDeg) => sunsetHourAngleRad({ latitudeDeg, dayOfYear: 100 }),
    },
    'hour angle': {
      least: -2 * Math.PI,
      most: 2 * Math.PI,
      call: (toRad) =>
        extraterrestrialMjPerM2({ latitudeDeg: 9, dayOfYear: 9, fromRad: -2 * Math.PI, toRad }),
    },
    longitude: {
      least: -180,
      most: 180,
      call: (longitudeDeg) => sunOfHour({ ...place, startMs: 0, longitudeDeg }),
    },
    'sun times latitude': {
      least: -90,
      most: 90,
      call: (latitudeDeg) => sunTimes({ ...place, dayStartMs: 0, latitudeDeg }),
    },
    'sun times longitude': {
      least: -180,
      most: 180,
      call: (longitudeDeg) => sunTimes({ ...place, dayStartMs: 0, longitudeDeg }),
    },
    wind: { least: 0, most: 120, call: (windMPerS) => windAt2mMPerS({ windMPerS, heightM: 10 }) },
    'wind height': {
      least: 0.5,
      most: 200,
      call: (heightM) => windAt2mMPerS({ windMPerS: 3, heightM }),
    },
    'outlook low': {
      least: -80,
      most: 10,
      call: (lowC) => outlookHours({ ...outlook, lowC, highC: 10 }),
    },
    'outlook high': {
      least: 10,
      most: 80,
      call: (highC) => outlookHours({ ...outlook, lowC: 10, highC }),
    },
    'outlook wind': {
      least: 0,
      most: 120,
      call: (windMPerS) => outlookHours({ ...outlook, windMPerS }),
    },
    'outlook rain': {
      least: 0,
      most: 2000,
      call: (rainMm) => outlookHours({ ...outlook, rainMm }),
    },
    'outlook dew': {
      least: -80,
      most: 80,
      call: (dew) => outlookHours({ ...outlook, dewPointC: dew }),
    },
    'outlook cloud': {
      least: 0,
      most: 1,
      call: (cloud) => outlookHours({ ...outlook, cloudFraction: cloud }),
    },
  });
});

it('a person may correct a forecast by so much', () => {
  expect(DAY_CALL_BOUNDS).toEqual({
    hotterK: { atLeast: -15, atMost: 15 },
    windFraction: { atLeast: 0, atMost: 4 },
    cloudierFraction: { atLeast: -1, atMost: 1 },
  });
});
