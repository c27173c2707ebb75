import { z } from 'zod';
import { LANGUAGES } from '../../../adapters/contract.ts';
import { quantity } from '../../../adapters/quantity.ts';
import { isZone, siteClock } from '../time/site-clock.ts';

const ID = /^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$/;

/**
 * An id of a bed, station, pipe or site. Ids travel in topics, file names and CSV cells, hence the
 * narrow alphabet.
 */
export const idSchema = z
  .string({
    error: ({ input }) =>
      input === undefined || input === null
        ? 'is missing; write a short id such as green-1'
        : `is not text (got ${String(input)}); put it between quotes`,
  })
  .regex(ID, {
    error: (issue) =>
      `is no id (got ${String(issue.input)}); use up to 40 letters, digits, dashes, dots or underscores, beginning with a letter or digit`,
  });

/** Where the site is and how it is called. */
export const siteSchema = z
  .strictObject({
    id: idSchema.meta({ description: 'Short id, used in file names and messages.' }),
    name: z.string().trim().min(1).max(80).meta({ description: 'Name as people say it.' }),
    latitude: z
      .number()
      .min(-90)
      .max(90)
      .meta({ unit: 'degrees', description: 'North positive, south negative.' }),
    longitude: z
      .number()
      .min(-180)
      .max(180)
      .meta({ unit: 'degrees', description: 'East positive, west negative.' }),
    elevation: quantity('length', { min: -430, max: 5000 }).meta({
      description: 'Height above the sea.',
    }),
    zone: z
      .string()
      .refine(isZone, {
        error: (issue) =>
          `is no time zone that this machine knows (got ${String(issue.input)}); write an IANA name such as Europe/Lisbon or America/Denver`,
      })
      .meta({ description: 'IANA time zone of the site.' }),
  })
  .superRefine(({ zone, latitude, longitude }, context) => {
    const message = placeMisfit({ zone, latitudeDeg: latitude, longitudeDeg: longitude });
    if (message !== null) context.addIssue({ code: 'custom', path: ['zone'], message });
  })
  .meta({ description: 'Where the site is.' });

/** Units that people see. Inside, and in what goes out, everything is metric. */
export const unitsSchema = z
  .enum(['us', 'metric'])
  .default('metric')
  .meta({ description: 'Units shown: us or metric.' });

/** The language in which the site tells its people of what it sees. */
export const languageSchema = z
  .enum(LANGUAGES)
  .default('en')
  .meta({ description: 'Language of alerts and of the terminal: en (English) or es (Spanish).' });

export const dataFolderSchema = z
  .string()
  .min(1)
  .default('./dewbeat-data')
  .meta({ description: 'Folder for what is remembered; relative to this file.' });

/** A place and the time zone that is written for it. */
export interface Place {
  /** An IANA name; of one that is not known nothing is said. */
  zone: string;
  /** North positive. */
  latitudeDeg: number;
  /** East positive. */
  longitudeDeg: number;
}

/** Where the zones of an area lie, with some room: as in any atlas, from memory. */
const AREAS: Record<string, { latitude: [number, number]; longitude: [number, number] }> = {
  Africa: { latitude: [-48, 39], longitude: [-27, 53] },
  // A little of it lies beyond 180°.
  America: { latitude: [-60, 85], longitude: [-192, -15] },
  Antarctica: { latitude: [-90, -45], longitude: [-180, 180] },
  Asia: { latitude: [-13, 82], longitude: [25, 192] },
  Australia: { latitude: [-56, -9], longitude: [95, 170] },
  Europe: { latitude: [34, 82], longitude: [-32, 70] },
};

/**
 * Zones of one hemisphere whose clocks are not set forward in summer, as far as grass is grown there;
 * those of Asia, Europe and Australia are told by their area. From memory.
 */
const NORTH =
  'Africa/Algiers Africa/Casablanca Africa/Tunis America/Barbados America/Cancun America/Chihuahua America/Costa_Rica America/El_Salvador America/Guatemala America/Hermosillo America/Jamaica America/Mazatlan America/Merida America/Mexico_City America/Monterrey America/Panama America/Phoenix America/Puerto_Rico America/Regina America/Santo_Domingo America/Whitehorse Atlantic/Reykjavik Pacific/Guam Pacific/Honolulu';
const SOUTH =
  'Africa/Gaborone Africa/Harare Africa/Johannesburg Africa/Lusaka Africa/Maputo Africa/Maseru Africa/Mbabane Africa/Windhoek America/Argentina America/Asuncion America/Campo_Grande America/Cuiaba America/La_Paz America/Lima America/Montevideo America/Sao_Paulo Indian/Antananarivo Indian/Mauritius Indian/Reunion Pacific/Apia Pacific/Fiji Pacific/Noumea Pacific/Tongatapu';

/** Countries on the equator reach a little over it. */
const NEAR_EQUATOR_DEG = 5;

const JANUARY_MS = Date.parse('2026-01-15T12:00:00Z');
const JULY_MS = Date.parse('2026-07-15T12:00:00Z');

/**
 * What is wrong between a place and its time zone, or null when they fit: a sign that was forgotten
 * or two coordinates that changed places put the sun, and with it every cycle, into another season
 * or into the night.
 */
export function placeMisfit(place: Place): string | null {
  const message = misfit(place);
  if (message === null) return null;
  const { latitudeDeg, longitudeDeg } = place;
  const turned = { ...place, latitudeDeg: longitudeDeg, longitudeDeg: latitudeDeg };
  if (Math.abs(longitudeDeg) > 90 || misfit(turned) !== null) return message;
  const [what] = message.split('; ');
  return `${what}; latitude and longitude may have changed places (${longitudeDeg}, ${latitudeDeg} would fit), or write the zone of the site`;
}

function misfit(place: Place): string | null {
  const { zone, latitudeDeg, longitudeDeg } = place;
  // A latitude beyond the poles is told of by itself.
  if (!isZone(zone) || Math.abs(latitudeDeg) > 90) return null;
  return zoneMisfit(zone, longitudeDeg) ?? hemisphereMisfit(zone, latitudeDeg) ?? areaMisfit(place);
}

function hemisphereMisfit(zone: string, latitudeDeg: number): string | null {
  const found = hemisphereOf(zone);
  if (found === null) return null;
  const isThere = found.side === 'north' ? latitudeDeg : -latitudeDeg;
  if (isThere > -NEAR_EQUATOR_DEG) return null;
  return `does not fit the latitude: ${found.why} (got ${zone} at latitude ${latitudeDeg}); south is negative, so look at its sign, or write the zone of the site`;
}

/** The hemisphere of a zone, and how it is known; null: it is not, or the zone reaches into both. */
function hemisphereOf(zone: string): { side: 'north' | 'south'; why: string } | null {
  // Stations on the ice keep the summer time of those who supply them.
  if (zone.startsWith('Antarctica/')) return null;
  const clock = siteClock(zone);
  const minutesOf = (instantMs: number) => {
    const { day, hour, minute } = clock.localOf(instantMs);
    return (day * 24 + hour) * 60 + minute;
  };
  const forwardInJuly = minutesOf(JULY_MS) - minutesOf(JANUARY_MS);
  if (forwardInJuly > 0) return { side: 'north', why: 'its clocks are set forward in July' };
  if (forwardInJuly < 0) return { side: 'south', why: 'its clocks are set forward in January' };
  const isOf = (list: string) =>
    list.split(' ').some((name) => zone === name || zone.startsWith(`${name}/`));
  if (isOf(NORTH)) return { side: 'north', why: 'it lies north of the equator' };
  return isOf(SOUTH) ? { side: 'south', why: 'it lies south of the equator' } : null;
}

function areaMisfit({ zone, latitudeDeg, longitudeDeg }: Place): string | null {
  const [name = ''] = zone.split('/');
  const area = Object.hasOwn(AREAS, name) ? AREAS[name] : undefined;
  if (area === undefined || !zone.includes('/')) return null;
  const isWithin = (value: number, [least, most]: [number, number]) =>
    value >= least && value <= most;
  const isThere =
    isWithin(latitudeDeg, area.latitude) &&
    [-360, 0, 360].some((turn) => isWithin(longitudeDeg + turn, area.longitude));
  if (isThere) return null;
  return `does not fit the coordinates: ${name} lies elsewhere (got ${zone} at ${latitudeDeg}, ${longitudeDeg}); look at signs and order, or write the zone of the site`;
}

const HOUR_MS = 3_600_000;
const DAY_H = 24;
/** No zone's clock stands further from the sun's than this: three hours in the west of China. */
const FURTHEST_H = 4;
/** The sun is highest at 12:00 UTC at 0° on any day within a quarter of an hour. */
const NOON_UTC_MS = Date.parse('2026-01-15T12:00:00Z');

/**
 * What is wrong between a place's longitude and its time zone, or null when they fit: a sign that
 * was forgotten puts the sun, and with it every cycle, into the night.
 *
 * @param zone an IANA name; of one that is not known nothing is said
 * @param longitudeDeg east positive
 */
export function zoneMisfit(zone: string, longitudeDeg: number): string | null {
  if (!isZone(zone)) return null;
  const noonMs = NOON_UTC_MS - (longitudeDeg / 360) * DAY_H * HOUR_MS;
  const clock = siteClock(zone);
  const { hour, minute } = clock.localOf(noonMs);
  if (Math.abs(hour + minute / 60 - DAY_H / 2) <= FURTHEST_H) return null;
  return `does not fit the longitude: by this clock the sun would be highest at ${clock.timeOf(noonMs)} (got ${zone} at longitude ${longitudeDeg}); west is negative, so look at its sign, or write the zone of the site`;
}
