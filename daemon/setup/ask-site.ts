import { placeMisfit } from '../config/place-fit.ts';
import { siteSchema } from '../config/site-schema.ts';

import { askQuantity, askText, textQuestion, wrongBy } from './checked-answer.ts';
import { positionText, readPosition } from './position.ts';
import type { Talk } from './talk.ts';

/** A site as answered: the config's keys, and the coordinates in one line. */
export interface SiteAnswer {
  name: string;
  position: string;
  elevation: string;
  zone: string;
}

/** Asks where the site is. */
export async function askSite(
  talk: Talk,
  given: { old: Readonly<Record<string, unknown>>; units: 'us' | 'metric'; machineZone: string },
): Promise<SiteAnswer> {
  const { old, units, machineZone } = given;
  const { name, latitude, longitude, elevation, zone } = old;
  const text = (value: unknown) => (typeof value === 'string' ? value : undefined);
  const isPlaced = typeof latitude === 'number' && typeof longitude === 'number';
  const answer = {
    name: await askText(talk, {
      ask: 'Name of the site',
      preset: text(name),
      schema: siteSchema.shape.name,
    }),
    position: await talk.ask(
      textQuestion(
        {
          ask: 'Coordinates, typed or pasted (such as 33.5, -42.1 or 33°30\'00"N 42°06\'00"W)',
          preset: isPlaced ? positionText(latitude, longitude) : undefined,
        },
        (typed) => {
          const reading = readPosition(typed);
          return reading.ok ? null : reading.message;
        },
      ),
    ),
    elevation: await askQuantity(talk, {
      ask: 'Height above the sea, about',
      preset: text(elevation) ?? (units === 'us' ? '300 ft' : '100 m'),
      schema: siteSchema.shape.elevation,
    }),
  };
  const placed = readPosition(answer.position);
  const wrongZone = (typed: string) =>
    wrongBy(siteSchema.shape.zone)(typed) ??
    (placed.ok
      ? placeMisfit({
          zone: typed,
          latitudeDeg: placed.latitude,
          longitudeDeg: placed.longitude,
        })
      : null);
  const isMachineThere = wrongZone(machineZone) === null;
  const suggested = zone === undefined && isMachineThere;
  return {
    ...answer,
    zone: await talk.ask(
      textQuestion(
        {
          ask: `Time zone of the site${suggested ? ' (suggested: that of this machine)' : ' (such as America/Denver)'}`,
          preset: text(zone) ?? (isMachineThere ? machineZone : undefined),
        },
        wrongZone,
      ),
    ),
  };
}
