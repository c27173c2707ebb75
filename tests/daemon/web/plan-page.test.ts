import { describe, expect, it } from 'vitest';
import { siteClock } from '../../../daemon/time/site-clock.ts';
import { planPage } from '../../../daemon/web/plan-page.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../scratch-site.ts';

describe('the page', () => {
  it('shows each notice with its rule and what the rule saw, and lets no text steer it', () => {
    const plan = examplePlan();
    const [notice] = plan.notices;
    if (notice === undefined) throw new Error('the example has a notice');
    const stored = rememberPlan(
      scratchDatabase(),
      { ...plan, notices: [{ ...notice, text: '<b>Look</b>' }] },
      { zone: EXAMPLE_ZONE },
    );
    const page = planPage({
      stored,
      standing: { kind: 'held', runs: plan.runs },
      siteName: plan.siteName,
      clock: siteClock(EXAMPLE_ZONE),
      units: 'metric',
      nowMs: EXAMPLE_MADE_AT_MS,
    });
    expect(page).toContain('note: Wind, 11:00 to 14:00, all beds');
    expect(page).toContain('Rule: An invented rule.');
    expect(page).toContain('Saw: strongest 5.5 m/s, windy hours 3');
    expect(page).toContain('&lt;b&gt;Look&lt;/b&gt;');
  });
});
