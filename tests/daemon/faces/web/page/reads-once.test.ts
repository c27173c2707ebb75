import { describe, expect, it } from 'vitest';
import { findBrowser } from '../../../../browser.ts';
import { browserRig } from './browser-rig.ts';

describe.skipIf(findBrowser() === null)('an open page', () => {
  const rig = browserRig();

  it('reads the day once for each state of the store, and again once that changes', async () => {
    const site = await rig.site();
    const page = await rig.open(site);
    let readings = 0;
    page.on('request', (request) => {
      if (request.url().endsWith('/api/today')) readings += 1;
    });
    const events = page.waitForResponse('**/api/events');
    await page.reload();
    await events;
    await page.locator('.bed-row').first().waitFor();
    // Longer than the daemon takes to tell what it has to tell.
    await page.waitForTimeout(1_500);
    expect(readings).toBe(1);
    await site.plan();
    await page.getByText('Plan 2 waits for you').waitFor();
    expect(readings).toBe(2);
  });

  it('shows what was read last, also when an earlier answer comes in after it', async () => {
    const site = await rig.site();
    const page = await rig.open(site);
    await page.locator('.bed-row').first().waitFor();
    let letGo = () => {};
    const isLate = new Promise<void>((resolve) => {
      letGo = resolve;
    });
    const late = new Promise<void>((done) => {
      void page.route(
        '**/api/today',
        async (route) => {
          const answer = await route.fetch();
          await isLate;
          await route.fulfill({ response: answer });
          done();
        },
        { times: 1 },
      );
    });
    // As when a phone comes out of the pocket: the day is read, and this answer stays away.
    const isAsked = page.waitForRequest('**/api/today');
    await page.evaluate("document.dispatchEvent(new Event('visibilitychange'))");
    await isAsked;
    await page.getByRole('button', { name: 'Hold water' }).click();
    await page.getByRole('button', { name: 'Hold all beds' }).click();
    const told = page.getByRole('link', { name: 'Make a fresh plan' }).first();
    await told.waitFor();
    letGo();
    await late;
    await page.waitForTimeout(500);
    expect(await told.isVisible()).toBe(true);
  });
});
