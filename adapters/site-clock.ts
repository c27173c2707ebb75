declare const siteDayBrand: unique symbol;

/** A calendar day at the site, `YYYY-MM-DD`. */
export type SiteDay = string & { readonly [siteDayBrand]: true };

/** A wall-clock minute at the site, without an offset. */
export interface LocalTime {
  year: number;
  /** 1 to 12. */
  month: number;
  day: number;
  hour: number;
  minute: number;
}

/**
 * The site's calendar. The daemon makes it over the site's IANA zone; adapters receive it, so that
 * no adapter holds time zone rules of its own.
 */
export interface SiteClock {
  readonly zone: string;
  /** ISO 8601 with the site's offset, to the second: `2026-07-01T06:30:00-07:00`. */
  isoOf(instantMs: number): string;
  /** Wall-clock `HH:MM` at the site. */
  timeOf(instantMs: number): string;
  siteDayOf(instantMs: number): SiteDay;
  localOf(instantMs: number): LocalTime;
  /**
   * The instant of a wall-clock time. An ambiguous time gives the earlier instant; a time inside a
   * spring gap gives the first existing minute after it.
   */
  instantOf(local: LocalTime): number;
  /** First instant of a site day (not always midnight: some zones skip it). */
  startOf(day: SiteDay): number;
  /** The site day so many days later (negative: earlier). */
  addDays(day: SiteDay, days: number): SiteDay;
}
