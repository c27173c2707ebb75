import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { waterOfRuns } from '../../../calc/schedule/allowances.ts';
import { cautionsFor } from '../../../daemon/site/gate/valid-confirm.ts';
import { openDatabase } from '../../../daemon/site/store/database.ts';
import { newestPlan } from '../../../daemon/site/store/plans.ts';
import { scratchFolder } from '../../scratch-site.ts';
import { dewbeat } from '../command-line.ts';
import { configText, loadSound } from '../site/config/sound-config.ts';

const MORNING_MS = Date.parse('2026-07-01T05:00:00-04:00');
const HOUR_MS = 3_600_000;

/** Confirms each morning's plan of the days so far, then plans at an hour; gives that plan. */
async function planAfter(rules: string, nowMs: number, confirmedAt: number[]) {
  const cwd = scratchFolder();
  const watered = {
    5: '  - { id: g1, area: 5000 ft², water_before_seeding: true }',
    6: '  - { id: g2, area: 400 m², water_before_seeding: true }',
  };
  const text = configText(watered, [rules]);
  writeFileSync(join(cwd, 'dewbeat.yaml'), text);
  const newest = () => {
    const db = openDatabase(join(cwd, 'dewbeat-data'));
    const stored = newestPlan(db);
    db.close();
    if (stored === null) throw new Error('there is no plan');
    return stored;
  };
  const confirmed = [];
  for (const atMs of confirmedAt) {
    await dewbeat(['plan'], { cwd, nowMs: atMs });
    const { plan, digest } = newest();
    const cautions = cautionsFor(plan).map((one) => one.code);
    const asked = ['--revision', `${plan.revision}`, '--digest', digest, '--who', 'A. Keeper'];
    const said = await dewbeat(['confirm', ...asked, '--caution', ...cautions], {
      cwd,
      nowMs: atMs,
    });
    expect(said.code).toBe(0);
    confirmed.push(plan);
  }
  const said = await dewbeat(['plan'], { cwd, nowMs });
  return { confirmed, plan: newest().plan, out: said.out, site: loadSound(text).site };
}

describe('what ran already', () => {
  it('counts against the season over the days, and is shown', async () => {
    const nowMs = MORNING_MS + 32 * HOUR_MS;
    const days = [MORNING_MS, MORNING_MS + 24 * HOUR_MS];
    const { confirmed, plan, out, site } = await planAfter(
      'rules: { season_allowance: 900 m³, season_from: "06-15" }',
      nowMs,
      days,
    );
    const ran = confirmed.flatMap((one) => one.runs).filter((run) => run.startMs < nowMs);
    expect(ran.some((run) => run.startMs < MORNING_MS + 24 * HOUR_MS)).toBe(true);
    expect(ran.some((run) => run.startMs > MORNING_MS + 24 * HOUR_MS)).toBe(true);
    expect(plan.seasonWater?.usedL).toBeCloseTo(waterOfRuns(site, ran), 3);
    expect(out).toMatch(
      /! Season allowance of 900000 L since 2026-06-15: [1-9]\d* L used, [1-9]\d* L planned here, \d+ L left after it\./,
    );
  });

  it('counts against the day, and what is left of it binds', async () => {
    const nowMs = MORNING_MS + 8 * HOUR_MS;
    const free = await planAfter('rules: {}', nowMs, [MORNING_MS]);
    const ran = (of: typeof free) => of.confirmed[0]?.runs.filter((run) => run.startMs < nowMs);
    const usedL = waterOfRuns(free.site, ran(free) ?? []);
    const laterL = waterOfRuns(free.site, free.plan.runs);
    expect(Math.min(usedL, laterL)).toBeGreaterThan(500);
    // What the whole day asked for, less half of what is still wanted.
    const allowanceL = Math.round(usedL + laterL / 2);
    const bound = await planAfter(`rules: { day_allowance: ${allowanceL} L }`, nowMs, [MORNING_MS]);
    const boundUsedL = waterOfRuns(bound.site, ran(bound) ?? []);
    expect(boundUsedL).toBeGreaterThan(500);
    expect(boundUsedL + waterOfRuns(bound.site, bound.plan.runs)).toBeLessThanOrEqual(allowanceL);
  });

  it('is nothing where nothing was confirmed', async () => {
    const { plan } = await planAfter('rules: { season_allowance: 900 m³ }', MORNING_MS, []);
    expect(plan.seasonWater?.usedL).toBe(0);
  });
});
