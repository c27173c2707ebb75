import { describe, expect, it } from 'vitest';
import type { LoadedConfig } from '../../../../daemon/config/loaded-config.ts';
import { pinHash } from '../../../../daemon/web/safety/pin-hash.ts';
import { findBrowser } from '../../../browser.ts';
import { browserRig, goTo } from './browser-rig.ts';

describe.skipIf(findBrowser() === null)('the page with people', () => {
  const rig = browserRig();

  it('lets a watcher in by PIN, who may look and hold but not confirm', async () => {
    const pin = await pinHash('471147');
    const withPeople = (config: LoadedConfig): LoadedConfig => ({
      ...config,
      page: {
        ...config.page,
        people: [
          { name: 'A. Keeper', role: 'keeper', pin },
          { name: 'B. Watcher', role: 'watcher', pin },
        ],
      },
    });
    const site = await rig.site({ change: withPeople });
    const page = await rig.open(site);
    await page.getByRole('heading', { name: 'Who are you?' }).waitFor();
    await page.getByLabel('Your name').fill('B. Watcher');
    await page.getByLabel('PIN').fill('000000');
    await page.getByRole('button', { name: 'Sign in' }).click();
    await page.getByText('is wrong').waitFor();
    await page.getByLabel('PIN').fill('471147');
    await page.getByRole('button', { name: 'Sign in' }).click();
    await page.locator('.bed-row').first().waitFor();
    expect(await page.getByRole('link', { name: /^Confirm/ }).count()).toBe(0);
    await goTo(page, 'confirm');
    expect(await page.getByRole('button', { name: /^Confirm/ }).isDisabled()).toBe(true);
    await page.getByRole('button', { name: 'Hold water' }).click();
    await page.getByRole('button', { name: 'Hold all beds' }).click();
    await page.getByText('On hold: everything.', { exact: false }).first().waitFor();
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.getByRole('heading', { name: 'Who are you?' }).waitFor();
  });
});
