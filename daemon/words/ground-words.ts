import { type DisplayUnits, MM_PER_INCH } from '../../adapters/display-units.ts';
import type { StageSign } from '../../calc/growth/stages.ts';
import { type Reader, sayTo } from './plan-words.ts';

/** A sign on the turf that a bed is ready for the next stage. */
export function saySign(sign: StageSign, reader: Pick<Reader, 'language' | 'show'>): string {
  const say = sayTo(reader);
  switch (sign.code) {
    case 'cover': {
      const [least, most] = sign.coverPct;
      return say('sign.cover', { least, most });
    }
    case 'roots': {
      const { units } = reader.show;
      const [least, most] = sign.rootMm.map((mm) => rootLength(mm, units));
      return say('sign.roots', {
        least: least ?? '',
        most: most ?? '',
        unit: units === 'us' ? 'in' : 'mm',
      });
    }
    default:
      return say(`sign.${sign.code}`);
  }
}

/** As a ruler is read: whole millimetres, or tenths of an inch. */
function rootLength(mm: number, units: DisplayUnits): string {
  return String(units === 'us' ? Number((mm / MM_PER_INCH).toFixed(1)) : Math.round(mm));
}
