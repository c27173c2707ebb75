import { describe, expect, it } from 'vitest';
import type { LoadedConfig } from '../../../../../daemon/site/config/config.ts';
import { pinHash } from '../../../../../daemon/site/config/pin-hash.ts';
import { openHolds } from '../../../../../daemon/site/store/holds-and-keep-offs.ts';
import { findBrowser } from '../../../../browser.ts';
import { browserRig, goTo } from './browser-rig.ts';
import { ALL_RULES, violations } from './violations.ts';

describe.skipIf(findBrowser() === null)('the page with people', () => {
  const rig = browserRig();

  it('lets whoever stands there stop all water without signing in, and nothing else', async () => {
    const pin = await pinHash('471147');
    const withPeople = (config: LoadedConfig): LoadedConfig => ({
      ...config,
      page: {
        ...config.page,
        people: [{ name: 'A. Keeper', role: 'keeper', language: 'en', pin }],
      },
    });
    const site = await rig.site({ change: withPeople });
    const page = await rig.open(site, { bypassCSP: true, reducedMotion: 'reduce' });
    await page.getByRole('heading', { name: 'Stop water without signing in' }).waitFor();
    expect(openHolds(site.db)).toEqual([]);
    await page.getByRole('button', { name: 'Stop water' }).click();
    await page.getByRole('dialog').waitFor();
    expect(await violations(page, ALL_RULES)).toEqual([]);
    await page.getByLabel('Your name (may stay empty)').fill('C. Mower');
    await page.getByRole('button', { name: 'Stop all beds' }).click();
    await page.locator('.told.well').waitFor();
    expect(openHolds(site.db)).toMatchObject([
      { who: 'C. Mower (not signed in, 127.0.0.1)', beds: 'all' },
    ]);
    expect(await violations(page, ALL_RULES)).toEqual([]);
    expect(await page.locator('.bed-row').count()).toBe(0);
  });

  it('offers no such stop where the config forbids it', async () => {
    const pin = await pinHash('471147');
    const withPeople = (config: LoadedConfig): LoadedConfig => ({
      ...config,
      page: {
        ...config.page,
        stop_by_anyone: false,
        people: [{ name: 'A. Keeper', role: 'keeper', language: 'en', pin }],
      },
    });
    const page = await rig.open(await rig.site({ change: withPeople }));
    await page.getByRole('heading', { name: 'Who are you?' }).waitFor();
    expect(await page.getByRole('button', { name: 'Stop water' }).count()).toBe(0);
  });

  it('lets a watcher in by PIN, who may look and stop but not confirm', async () => {
    const pin = await pinHash('471147');
    const withPeople = (config: LoadedConfig): LoadedConfig => ({
      ...config,
      page: {
        ...config.page,
        people: [
          { name: 'A. Keeper', role: 'keeper', language: 'en', pin },
          { name: 'B. Watcher', role: 'watcher', language: 'en', pin },
        ],
      },
    });
    const site = await rig.site({ change: withPeople });
    const page = await rig.open(site);
    await page.getByRole('heading', { name: 'Who are you?' }).waitFor();
    await page.getByLabel('Your name').fill('B. Watcher');
    await page.getByLabel('PIN').fill('000000');
    const refused = page.waitForResponse('**/api/sign-in');
    await page.getByRole('button', { name: 'Sign in' }).click();
    const { code, message } = (await (await refused).json()) as { code: string; message: string };
    expect(code).toBe('wrong_pin');
    await page.getByText(message).waitFor();
    await page.getByLabel('PIN').fill('471147');
    await page.getByRole('button', { name: 'Sign in' }).click();
    await page.locator('.bed-row').first().waitFor();
    expect(await page.getByRole('link', { name: /^Confirm/ }).count()).toBe(0);
    await goTo(page, 'confirm');
    expect(await page.getByRole('button', { name: /^Confirm/ }).isDisabled()).toBe(true);
    await page.getByRole('button', { name: 'Stop water' }).click();
    await page.getByRole('button', { name: 'Stop all beds' }).click();
    await page.locator('.told.well').waitFor();
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.getByRole('heading', { name: 'Who are you?' }).waitFor();
  });
});
