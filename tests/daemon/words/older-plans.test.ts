import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { planDocument } from '../../../adapters/plan-document.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { isAsKept } from '../../../daemon/site/gate/valid-confirm.ts';
import { addPlan, newestPlan } from '../../../daemon/site/store/plans.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { noticeTexts } from '../../../daemon/words/notice-texts.ts';
import { readerOf, sayReason, sayShortageCause } from '../../../daemon/words/plan-words.ts';
import { warningTexts } from '../../../daemon/words/warning-words.ts';
import { scratchDatabase } from '../../scratch-site.ts';

/** A row that a daemon wrote when plans carried their sentences: an invented site, in US units. */
const row = JSON.parse(
  readFileSync(new URL('../site/store/plan-of-format-1.json', import.meta.url), 'utf8'),
) as { cause: 'person'; digest: string; plan: DayPlan };

/** The plan as it is read from a store that holds the row. */
function kept() {
  const db = scratchDatabase();
  addPlan(db, { ...row, lifts: [], lastHoldId: 0 });
  const stored = newestPlan(db);
  if (stored === null) throw new Error('the row was added');
  const { plan } = stored;
  const clock = siteClock(plan.madeFor?.zone ?? 'UTC');
  return { stored, plan, clock, reader: readerOf({ clock, units: 'us' }) };
}

describe('a plan kept before plans were codes', () => {
  it('is read as it was confirmed: same digest, same version', () => {
    const { stored, plan, clock } = kept();
    expect(isAsKept(stored)).toBe(true);
    expect(planDocument(plan, clock).format_version).toBe(1);
  });

  it('says what it said', () => {
    const { plan, reader } = kept();
    const told = warningTexts(plan, reader).map(({ text }) => text);
    expect(told).toHaveLength(14);
    expect(told[1]).toBe(
      "Green 2 is below its reserve from 05:35 to 13:35, 480 min of it below the dry limit: visitors keeps water off until 13:30; moving visitors 30 min later would save 115 min of the bed's time below its reserve.",
    );
    expect(plan.shortages.map((one) => sayShortageCause(one, reader))[0]).toMatch(
      /^visitors keeps water off until 13:30; moving visitors 30 min later would save 115 min/,
    );
    const [heat] = noticeTexts(plan, reader);
    expect(heat?.text).toMatch(/^The surface is hot enough to scald/);
    expect(heat?.rule).toContain('scalds from 45 °C (from memory)');
    const reasons = plan.beds.flatMap(({ cycles }) => cycles.flatMap((cycle) => cycle.reasons));
    for (const reason of reasons) expect(sayReason(reason, reader)).not.toBe('');
  });
});
