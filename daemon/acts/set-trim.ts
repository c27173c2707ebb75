import { addBedTrim, type BedTrim } from '../store/bed-trims.ts';
import { addStep } from '../store/steps.ts';
import { type ActContext, ActRefused } from './act-context.ts';
import type { Deed } from './deed.ts';
import { knownBed, requiredText } from './known-beds.ts';

/** How far a person may trim a bed: as the config's own key. */
export const TRIM_BOUNDS_PCT = { atLeast: 25, atMost: 300 } as const;

const MOST_WHY = 200;

/** Sets a bed's trim from now on, in place of the config's or an earlier one. */
export function setTrim(
  { db, config, nowMs }: ActContext,
  asked: { bedId: string | undefined; trimPct: number; why: string | undefined; who: string },
): Deed {
  const bed = knownBed(config.site, asked.bedId);
  const { trimPct, who } = asked;
  const { atLeast, atMost } = TRIM_BOUNDS_PCT;
  if (!(trimPct >= atLeast && trimPct <= atMost)) {
    throw new ActRefused(
      'trim',
      `must be ${atLeast} to ${atMost} % (got ${trimPct} %); 100 leaves the dose alone`,
    );
  }
  const why = requiredText('why', asked.why, {
    ask: 'say what you saw on the bed',
    most: MOST_WHY,
  });
  const row: BedTrim = { atMs: nowMs, who, why, bedId: bed.id, trimFraction: trimPct / 100 };
  const line = `${bed.name}: trim ${trimPct} % by ${who} (${why}).`;
  return {
    line,
    who,
    asIf: { trims: [row] },
    lift: 'none',
    keep() {
      addBedTrim(db, row);
      addStep(db, {
        atMs: nowMs,
        kind: 'trimmed',
        who,
        siteDay: config.clock.siteDayOf(nowMs),
        what: `${bed.name}: ${trimPct} % (${why})`,
      });
      return [`${line} It stands until it is set anew.`];
    },
  };
}
