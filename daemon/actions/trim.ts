import { z } from 'zod';
import type { Bed, Site } from '../../calc/schedule/site.ts';
import type { Db } from '../site/store/database.ts';
import { addBedTrim, type BedTrim, bedTrims } from '../site/store/instructions.ts';
import { knownBed, refuse, requiredText } from './action-context.ts';
import { bed, numberOrCleared, text } from './fields.ts';
import { describeAction } from './spec.ts';

const MOST_WHY = 200;

/** Sets a bed's trim from now on, in place of the config's or an earlier one; null takes it back. */
export const trim = describeAction({
  kind: 'trim',
  command: 'trim',
  letter: 't',
  isListed: true,
  isPlanned: true,
  beginsAsItStands: true,
  schema: z.strictObject({
    kind: z.literal('trim'),
    bedId: bed(),
    trimPct: numberOrCleared({
      option: 'percent',
      unit: 'percent',
      atLeast: 25,
      atMost: 300,
      step: 5,
      example: '110',
    }),
    why: text({ option: 'why', atMost: MOST_WHY, example: 'dry collar' }),
  }),
  presets: [{ option: 'clear', values: { trimPct: null, why: 'back to the config' } }],
  begin: ({ bed }) => ({
    values: { trimPct: bed?.trimPct ?? 100 },
    facts: { standsPct: bed?.trimPct ?? 100 },
  }),
  standing({ db, config }) {
    const standing = standingTrims(db, config.site);
    if (standing.length === 0) return [{ code: 'trim_none' }];
    return standing.map(({ bed, trim }) => ({
      code: 'trim_standing',
      bed: bed.name,
      trimPct: pctOf(trim.trimFraction),
      configPct: pctOf(bed.trimFraction),
      sinceMs: trim.atMs,
      since: config.clock.isoOf(trim.atMs).slice(0, 16).replace('T', ' '),
      who: trim.who,
      why: trim.why,
    }));
  },
  apply({ db, config, nowMs }, input, who) {
    const bed = knownBed(config.site, input.bedId);
    const { trimPct } = input;
    if (trimPct === null && !standingTrims(db, config.site).some((one) => one.bed.id === bed.id)) {
      throw refuse('clear', 'no_trim', { bed: bed.id, configPct: pctOf(bed.trimFraction) });
    }
    const why = requiredText('why', input.why, { ask: 'why_on_bed', atMost: MOST_WHY });
    const trimFraction = trimPct === null ? bed.trimFraction : trimPct / 100;
    const row: BedTrim = { atMs: nowMs, who, why, bedId: bed.id, trimFraction };
    const facts = { bed: bed.name, trimPct: pctOf(trimFraction), why };
    return {
      who,
      step: 'trimmed',
      told: [{ code: trimPct === null ? 'trim_taken_back' : 'trim_set', ...facts }],
      atMs: nowMs,
      hypothetical: { trims: [row] },
      lift: 'none',
      write: () => addBedTrim(db, row),
      after: () => (trimPct === null ? [] : [{ code: 'trim_stays' }]),
    };
  },
});

/** Beds with a trim of a person that is not the config's own. */
function standingTrims(db: Db, site: Site): { bed: Bed; trim: BedTrim }[] {
  const trims = bedTrims(db);
  return site.beds.flatMap((bed) => {
    const trim = trims.findLast((one) => one.bedId === bed.id);
    return trim === undefined || trim.trimFraction === bed.trimFraction ? [] : [{ bed, trim }];
  });
}

function pctOf(trimFraction: number): number {
  return Number((100 * trimFraction).toFixed(2));
}
