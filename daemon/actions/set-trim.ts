import type { Bed, Site } from '../../calc/schedule/site.ts';
import { addBedTrim, type BedTrim, bedTrims } from '../store/bed-trims.ts';
import type { Db } from '../store/database.ts';
import { addStep } from '../store/steps.ts';
import type { Action } from './action.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';
import { knownBed, requiredText } from './known-beds.ts';

/** How far a person may trim a bed: as the config's own key. */
export const TRIM_BOUNDS_PCT = { atLeast: 25, atMost: 300 } as const;

const MOST_WHY = 200;

/** Sets a bed's trim from now on, in place of the config's or an earlier one. */
export function setTrim(
  context: ActionContext,
  asked: { bedId: string | undefined; trimPct: number; why: string | undefined; who: string },
): Action {
  const bed = knownBed(context.config.site, asked.bedId);
  const { trimPct, who } = asked;
  const { atLeast, atMost } = TRIM_BOUNDS_PCT;
  if (!(trimPct >= atLeast && trimPct <= atMost)) {
    throw new ActionRefused(
      'trim',
      `must be ${atLeast} to ${atMost} % (got ${trimPct} %); 100 leaves the dose alone`,
    );
  }
  const why = whyOf(asked.why);
  return trimAction(context, bed, {
    row: { atMs: context.nowMs, who, why, bedId: bed.id, trimFraction: trimPct / 100 },
    line: `${bed.name}: trim ${trimPct} % by ${who} (${why}).`,
    until: 'It stands until it is set anew.',
  });
}

/** Takes a person's trim back: the bed has the config's again. */
export function clearTrim(
  context: ActionContext,
  asked: { bedId: string | undefined; why: string | undefined; who: string },
): Action {
  const { db, config, nowMs } = context;
  const bed = knownBed(config.site, asked.bedId);
  const { who } = asked;
  const { trimFraction } = bed;
  if (!standingTrims(db, config.site).some((one) => one.bed.id === bed.id)) {
    throw new ActionRefused(
      'clear',
      `no person's trim stands on this bed (got ${bed.id}); it goes by the config, ${percent(trimFraction)}`,
    );
  }
  const why = asked.why === undefined ? 'back to the config' : whyOf(asked.why);
  return trimAction(context, bed, {
    row: { atMs: nowMs, who, why, bedId: bed.id, trimFraction },
    line: `${bed.name}: trim back to the config's ${percent(trimFraction)} by ${who} (${why}).`,
    until: '',
  });
}

/** Beds with a trim of a person that is not the config's own. */
export function standingTrims(db: Db, site: Site): { bed: Bed; trim: BedTrim }[] {
  const trims = bedTrims(db);
  return site.beds.flatMap((bed) => {
    const trim = trims.findLast((one) => one.bedId === bed.id);
    return trim === undefined || trim.trimFraction === bed.trimFraction ? [] : [{ bed, trim }];
  });
}

function trimAction(
  { db, config, nowMs }: ActionContext,
  bed: Bed,
  { row, line, until }: { row: BedTrim; line: string; until: string },
): Action {
  return {
    line,
    who: row.who,
    hypothetical: { trims: [row] },
    lift: 'none',
    keep() {
      addBedTrim(db, row);
      addStep(db, {
        atMs: nowMs,
        kind: 'trimmed',
        who: row.who,
        siteDay: config.clock.siteDayOf(nowMs),
        what: `${bed.name}: ${percent(row.trimFraction)} (${row.why})`,
      });
      return [until === '' ? line : `${line} ${until}`];
    },
  };
}

function whyOf(text: string | undefined): string {
  return requiredText('why', text, { ask: 'say what you saw on the bed', most: MOST_WHY });
}

function percent(trimFraction: number): string {
  return `${Number((100 * trimFraction).toFixed(2))} %`;
}
