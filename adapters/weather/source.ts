import type { RawHour } from '../../calc/sky/weather-hour.ts';
import type { SiteClock } from '../site-clock.ts';

/** Something wrong in what a source gave, and what was done about it. */
export interface WeatherProblem {
  /** `file:line` or the name of the source. */
  where: string;
  /** What is wrong, with the value got. */
  what: string;
  /** What was done with it: "left out", "filled", "refused". */
  done: string;
}

/** What a source answers: raw hours in order, each hour once, and what was wrong with it. */
export interface WeatherReading {
  /** In words for the plan: "station export weather.csv". */
  source: string;
  hours: RawHour[];
  /** When the youngest of it was measured or made, epoch ms; null when the source cannot say. */
  asOfMs: number | null;
  problems: WeatherProblem[];
}

/**
 * What a source is asked: the hours that begin at `fromMs`, an hour later and so on, up to `toMs`.
 * Ask from a full hour of the site's clock, so that the rows of stations and outlooks fit.
 */
export interface WeatherRequest {
  fromMs: number;
  toMs: number;
  /** Hours that begin before this are observed, later ones forecast. */
  nowMs: number;
}

/**
 * A place where weather comes from. A source never throws for bad data: it gives the hours that
 * can be trusted and names the rest. It throws `WeatherUnreadable` when there is nothing to read.
 */
export interface WeatherSource {
  readonly kind: string;
  read(request: WeatherRequest): Promise<WeatherReading>;
}

/** The whole source cannot be read; the message says where, what is wrong, and what to do. */
export class WeatherUnreadable extends Error {
  override name = 'WeatherUnreadable';
}

/** What a source needs from the daemon that makes it. */
export interface WeatherContext {
  clock: SiteClock;
  /**
   * The calendar of another IANA zone, for stamps that are not in the site's time. Throws
   * RangeError when there is no such zone.
   */
  clockIn(zone: string): SiteClock;
  latitudeDeg: number;
  longitudeDeg: number;
  elevationM: number;
  /** Folder that relative paths in the config start from. */
  baseFolder: string;
}
