import { describe, expect, it } from 'vitest';
import { findBrowser } from '../../../browser.ts';
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
    await page.getByText('Revision 2 waits for you').waitFor();
    expect(readings).toBe(2);
  });
});
