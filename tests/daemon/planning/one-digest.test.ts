import { expect, it } from 'vitest';
import { planDigest, planDocument } from '../../../adapters/plan-document.ts';
import { WARNING_CODES } from '../../../calc/schedule/plan-warning.ts';
import { makePlan } from '../../../daemon/planning/make-plan.ts';
import { prepareProposal } from '../../../daemon/planning/propose-plan.ts';
import { addHandWater } from '../../../daemon/site/store/hand-records.ts';
import { addHold, addKeepOff } from '../../../daemon/site/store/holds-and-keep-offs.ts';
import { addBedTrim, addDayCall } from '../../../daemon/site/store/instructions.ts';
import { readerOf } from '../../../daemon/words/plan-words.ts';
import { warningTexts } from '../../../daemon/words/warning-words.ts';
import { jobRig } from '../job-rig.ts';

const KEEPER = { who: 'A. Keeper (invented)', atMs: 0 };

/** A day on which a plan has much to say: people's own notes, a shortage, an allowance. */
async function toldDay() {
  const rig = jobRig({ more: ['rules: { season_allowance: 90 m³ }'] });
  const atMs = rig.at(0);
  const { db, config } = rig;
  // Water by hand counts from the first plan of the day on.
  const early = { db, config, weather: rig.parts.weather, nowMs: rig.at(-60) };
  await makePlan(early, { cause: 'morning', who: KEEPER.who, lift: 'none' });
  const siteDay = config.clock.siteDayOf(atMs);
  addDayCall(db, {
    ...KEEPER,
    atMs,
    siteDay,
    hotterK: 4,
    windFraction: 1.4,
    cloudierFraction: 0.1,
  });
  addHandWater(db, {
    ...KEEPER,
    atMs,
    bedId: 'bed-1',
    stationId: null,
    grossMm: 0.7,
    startMs: rig.at(-30),
    runS: 60,
  });
  addBedTrim(db, { ...KEEPER, atMs, bedId: 'bed-2', trimFraction: 1.2, why: 'crown' });
  const hours = { untilMs: rig.at(9 * 60), labelIntervalS: 0 };
  addKeepOff(db, { ...KEEPER, atMs, why: 'visitors', beds: ['bed-3'], ...hours });
  addHold(db, { ...KEEPER, atMs, why: 'washed', beds: ['bed-1'], untilMs: rig.at(120) } as never);
  return rig;
}

it('a plan has one digest, in whichever units a person reads it', async () => {
  const rig = await toldDay();
  const nowMs = rig.at(1);
  const planIn = async (units: 'us' | 'metric') => {
    const config = { ...rig.config, units };
    const { db, parts } = rig;
    const propose = await prepareProposal(
      { db, config, weather: parts.weather, nowMs },
      { lift: 'none' },
    );
    return propose().plan;
  };
  const [metric, us] = [await planIn('metric'), await planIn('us')];
  const digestOf = (plan: typeof us) => planDigest(planDocument(plan, rig.config.clock));
  expect(digestOf(us)).toBe(digestOf(metric));
  // What is said of it differs, and much is said.
  const told = (units: 'us' | 'metric') =>
    warningTexts(us, readerOf({ clock: rig.config.clock, units })).map(({ text }) => text);
  expect(told('us')).not.toEqual(told('metric'));
  const codes = new Set(us.warnings.map(({ code }) => code));
  for (const code of [
    'bed_held',
    'day_call',
    'hand_water',
    'trim',
    'keep_off',
    'does_not_fit',
    'season_allowance',
  ]) {
    expect(codes).toContain(code);
  }
  expect([...codes].every((code) => WARNING_CODES.includes(code))).toBe(true);
});

it('the document holds no sentence but people’s own words', async () => {
  const rig = await toldDay();
  const { db, config, parts } = rig;
  const context = { db, config, weather: parts.weather, nowMs: rig.at(1) };
  const { plan } = (await prepareProposal(context, { lift: 'none' }))();
  const own = new Set(['A. Keeper (invented)', 'Example Site (invented)', plan.weather.source]);
  const found: string[] = [];
  const look = (value: unknown): void => {
    if (typeof value === 'string') {
      if (/[a-z] [a-z]/i.test(value) && !own.has(value)) found.push(value);
    } else if (value !== null && typeof value === 'object') Object.values(value).forEach(look);
  };
  look(planDocument(plan, config.clock));
  expect(found.filter((text) => !/^Bed \d$/.test(text))).toEqual([]);
});
