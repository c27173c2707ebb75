import { type Language, LOCALES, say } from './words.ts';

const HOUR_MS = 3_600_000;

/** Instants as they read at the site, over every change of its clocks. */
export interface SiteTime {
  readonly zone: string;
  /** "05:40". */
  timeOf(instantMs: number): string;
  /** "Wednesday, July 1", in the language of the page. */
  dayOf(instantMs: number): string;
  /** Value of a `datetime-local` field: "2026-07-01T05:40". */
  fieldOf(instantMs: number): string;
  /** The earliest instant at or after another one that reads "HH:MM", within two days; null: none does. */
  nextAt(text: string, afterMs: number): number | null;
  /** Instants in a span at which the site's clock shows a whole hour that the step divides. */
  hourTicks(span: { startMs: number; endMs: number; stepH: number }): number[];
}

/** The clock of a time zone; `Intl` knows its changes and the names of the days. */
export function siteTime(zone: string, language: Language = 'en'): SiteTime {
  const format = new Intl.DateTimeFormat('en-CA', {
    timeZone: zone,
    hourCycle: 'h23',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
  });
  const longDay = new Intl.DateTimeFormat(LOCALES[language], {
    timeZone: zone,
    weekday: 'long',
    month: 'long',
    day: 'numeric',
  });
  const parts = (instantMs: number) => {
    const found = new Map(format.formatToParts(instantMs).map(({ type, value }) => [type, value]));
    const of = (type: Intl.DateTimeFormatPartTypes) => found.get(type) ?? '';
    return {
      date: `${of('year')}-${of('month')}-${of('day')}`,
      time: `${of('hour')}:${of('minute')}`,
    };
  };
  return {
    zone,
    timeOf: (instantMs) => parts(instantMs).time,
    dayOf: (instantMs) => longDay.format(instantMs),
    fieldOf: (instantMs) => {
      const { date, time } = parts(instantMs);
      return `${date}T${time}`;
    },
    nextAt(text, afterMs) {
      if (!/^\d\d:\d\d$/.test(text)) return null;
      // Minute by minute: a time inside a spring gap does not exist, one in autumn exists twice.
      const firstMs = Math.ceil(afterMs / 60_000) * 60_000;
      for (let instantMs = firstMs; instantMs < firstMs + 48 * HOUR_MS; instantMs += 60_000) {
        if (parts(instantMs).time === text) return instantMs;
      }
      return null;
    },
    hourTicks({ startMs, endMs, stepH }) {
      // Quarter hours: some zones stand a half or three quarters of an hour beside the others.
      const stepMs = HOUR_MS / 4;
      const ticks: number[] = [];
      for (let atMs = Math.ceil(startMs / stepMs) * stepMs; atMs <= endMs; atMs += stepMs) {
        const [hour = '', minute] = parts(atMs).time.split(':');
        if (minute === '00' && Number(hour) % stepH === 0) ticks.push(atMs);
      }
      return ticks;
    },
  };
}

/** A length of time as a person says it: "less than a minute", "4 min", "2 h 05 min". */
export function sayAge(ageMs: number): string {
  const min = Math.floor(Math.max(0, ageMs) / 60_000);
  if (min === 0) return say('page.age.less_than_a_minute');
  if (min < 60) return `${min} min`;
  return `${Math.floor(min / 60)} h ${String(min % 60).padStart(2, '0')} min`;
}
