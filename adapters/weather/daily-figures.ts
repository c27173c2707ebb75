import { z } from 'zod';
import { quantity } from '../quantity.ts';
import type { SiteDay } from '../site-clock.ts';

/** The figures of a day, told by a person. */
export const dayFigures = {
  high: quantity('temperature', { min: -60, max: 57 }),
  low: quantity('temperature', { min: -60, max: 57 }),
  /** Mean over the day. */
  wind: quantity('speed', { min: 0, max: 60 }),
  /** Sum over the day. */
  rain: quantity('depth', { min: 0, max: 2000 }),
  dew_point: quantity('temperature', { min: -70, max: 36 }).optional(),
  /** Sum over the day. */
  solar: quantity('solar', { min: 0, max: 45 }).optional(),
  /** Part of the daylight without sunshine; used where no solar radiation is given. */
  cloud: quantity('fraction', { min: 0, max: 1 }).optional(),
};

export const highAboveLow = {
  when: ({ high, low }: { high: number; low: number }) => high >= low,
  error: 'has a high below its low; correct one of them',
};

const usualMonth = z
  .strictObject({ month: z.int().min(1).max(12), ...dayFigures })
  .refine(highAboveLow.when, { error: highAboveLow.error });

type TypedFigures = Omit<z.infer<typeof usualMonth>, 'month'>;

/** A usual day of each month: what stands in where nothing is known. */
export const usualMonths = z
  .array(usualMonth)
  .refine((usual) => new Set(usual.map(({ month }) => month)).size === usual.length, {
    error: 'tells of one month twice; keep one',
  });

/** What every source may say of its own trust. */
export const trustOptions = {
  /** Older than this it counts neither for now nor for later. */
  stale_after: quantity('duration_s', { min: 60, max: 14 * 86_400 }).optional(),
};

/** For sources that are no climate themselves: the wind at the source's own height. */
export const standInOptions = { ...trustOptions, usual: usualMonths.optional() };

/** A day in a few figures; null where nobody told. */
interface DailyFigures {
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
  /** Chance that the rain comes at all; left out: nobody told one. */
  rainChanceFraction?: number;
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
