/** Fields of an hour that a source may lack and that a published procedure can fill. */
export type WeatherField =
  | 'airTempC'
  | 'vapourPressureKPa'
  | 'windMPerS'
  | 'solarMjPerM2'
  | 'rainMm';

/**
 * Where an hour stands in time and trust: `observed` was measured, `forecast` was foretold by a
 * source, `carried` is an earlier day's hour moved forward because no source spoke, `usual` is the
 * person's own figure for a usual day of the month.
 */
export type HourOrigin = 'observed' | 'forecast' | 'carried' | 'usual';

/** Who told an hour, and how young that was: a measurement's instant, a forecast's fetching. */
export interface HourTold {
  source: string;
  /** Null when the source cannot say. */
  asOfMs: number | null;
}

/**
 * One hour as a source tells it, before anything is filled: `null` means that the source was
 * silent. Humidity comes as whichever the source has; wind at the height at which it was measured.
 */
export interface RawHour {
  /** Beginning of the hour, epoch milliseconds. */
  startMs: number;
  origin: HourOrigin;
  airTempC: number | null;
  dewPointC: number | null;
  relativeHumidityPct: number | null;
  windMPerS: number | null;
  windHeightM: number;
  /** Solar radiation on the level summed over the hour, MJ/m². */
  solarMjPerM2: number | null;
  rainMm: number | null;
  /** Chance that this rain comes at all, 0 to 1; left out: the source tells none. */
  rainChanceFraction?: number;
  /** Left out where there is one source alone and nobody asked. */
  told?: HourTold;
}

/** The procedures that stand in for a value that no source gave (FAO-56 where one is published). */
export type FillMethod =
  | 'hours_around'
  | 'dew_point_at_daily_low'
  | 'lowered_to_saturation'
  | 'usual_wind'
  | 'temperature_range'
  | 'no_rain';

/** A value that no source gave, and what stands in for it. */
export interface FilledValue {
  field: WeatherField;
  how: FillMethod;
}

/** One hour, complete: every value present, wind at 2 m, what was filled named. */
export interface WeatherHour {
  /** Beginning of the hour, epoch milliseconds. */
  startMs: number;
  origin: HourOrigin;
  airTempC: number;
  /** Actual vapour pressure. */
  vapourPressureKPa: number;
  /** Wind at 2 m above the turf. */
  windMPerS: number;
  /** Solar radiation on the level summed over the hour. */
  solarMjPerM2: number;
  rainMm: number;
  /** As the source tells it; left out: it tells none. */
  rainChanceFraction?: number;
  filled: FilledValue[];
  told?: HourTold;
}

/** An hour with its reference ET. */
export interface EtHour extends WeatherHour {
  /** ASCE-EWRI 2005 short reference ET of the hour, mm; negative at night when dew forms. */
  referenceEtMm: number;
  /**
   * The same without the resistance of leaves that close at night, mm: wet bare sand has none to
   * close. By day equal to the reference.
   */
  wetNightEtMm: number;
}

/** Where the site stands. */
export interface SitePlace {
  /** Degrees, north positive. */
  latitudeDeg: number;
  /** Degrees, east positive. */
  longitudeDeg: number;
  /** Metres above the sea. */
  elevationM: number;
}
