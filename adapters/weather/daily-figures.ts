import type { SiteDay } from '../site-clock.ts';
import type { TypedFigures } from './usual-config.ts';

/** A day in a few figures; null where nobody told. */
export interface DailyFigures {
  highC: number;
  lowC: number;
  windMPerS: number | null;
  rainMm: number | null;
  dewPointC: number | null;
  solarMjPerM2: number | null;
  cloudFraction: number | null;
}

/** A day with where it was told, for problems. */
export interface ToldDay extends DailyFigures {
  day: SiteDay;
  where: string;
}

/** Figures as the config holds them once it is read. */
export function figuresOf(typed: TypedFigures): DailyFigures {
  return {
    highC: typed.high,
    lowC: typed.low,
    windMPerS: typed.wind,
    rainMm: typed.rain,
    dewPointC: typed.dew_point ?? null,
    solarMjPerM2: typed.solar ?? null,
    cloudFraction: typed.cloud ?? null,
  };
}
