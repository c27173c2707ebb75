import { cpSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { beforeAll, describe, expect, it } from 'vitest';
import type { LoadedConfig } from '../../../../../daemon/site/config/config.ts';
import { pinHash } from '../../../../../daemon/site/config/pin-hash.ts';
import { findBrowser } from '../../../../browser.ts';
import { scratchFolder } from '../../../../scratch-site.ts';
import { browserRig, goTo } from './browser-rig.ts';
import { BUILT_PAGE, type ServedSite } from './served-site.ts';

const ALLOW = { serviceWorkers: 'allow' } as const;
const AWAY = 'The daemon does not answer';
const BY_HAND =
  'close the valve or the main by hand, type npx dewbeat stop-water on the daemon’s machine';
/** Invented; the costly hash is made once. */
const PIN = '471147';
const CHEAP = { N: 1024, r: 8, p: 1 };

describe.skipIf(findBrowser() === null)('a page opened while the daemon is away', () => {
  const rig = browserRig();
  let pin: string;
  beforeAll(async () => {
    pin = await pinHash(PIN, CHEAP);
  });
  const withPeople = (config: LoadedConfig): LoadedConfig => ({
    ...config,
    page: { ...config.page, people: [{ name: 'A. Keeper', role: 'keeper', language: 'en', pin }] },
  });
  const signedIn = async (): Promise<{ site: ServedSite; page: Page }> => {
    const site = await rig.site({ change: withPeople });
    const page = await rig.open(site, ALLOW);
    await page.getByLabel('Your name').fill('A. Keeper');
    await page.getByLabel('PIN').fill(PIN);
    await page.getByRole('button', { name: 'Sign in' }).click();
    await page.locator('.bed-row').first().waitFor();
    await keptAll(page);
    return { site, page };
  };

  it('shows what was known last and its age, refuses to stop and confirm, and comes back to life', async () => {
    const site = await rig.site();
    const page = await rig.open(site, ALLOW);
    const beds = await page.locator('.bed-row .bed-name').allTextContents();
    await keptAll(page);
    await site.leave();
    // Seven minutes in the pocket.
    await page.evaluate(olderBy(7));
    await page.reload();
    await page.getByText(AWAY).first().waitFor();
    await page.getByText('Read at 05:10, 7 min ago').waitFor();
    await page.getByText(BY_HAND).first().waitFor();
    expect(await page.locator('.bed-row .bed-name').allTextContents()).toEqual(beds);
    await page.getByRole('heading', { name: 'Day line' }).waitFor();

    await goTo(page, 'bed/green-2');
    await page.getByRole('heading', { name: 'Green 2' }).waitFor();
    await page.getByText('This bed was read at 05:10.').waitFor();
    await goTo(page, 'paper/failure');
    await page.getByText('Order of hand watering').first().waitFor();
    await goTo(page, 'confirm');
    await page.getByText('nothing can be confirmed now').waitFor();
    expect(await page.getByRole('button', { name: /^Confirm: let/ }).isDisabled()).toBe(true);
    await page.getByRole('button', { name: 'Stop water' }).click();
    const sheet = page.getByRole('dialog');
    await sheet.getByText(BY_HAND).waitFor();
    await page.getByRole('button', { name: 'Stop all beds' }).click();
    await sheet.getByText('NOT STOPPED: the daemon does not answer.').waitFor();
    await page.getByRole('button', { name: 'Close, stop nothing' }).click();

    await page.evaluate(olderBy(25 * 60));
    await page.reload();
    await page.getByText('Read at 05:10 on Wednesday, July 1, 25 h').waitFor();

    await site.comeBack();
    await page.reload();
    await page.getByRole('heading', { name: 'Confirm plan 1' }).waitFor();
    await expect.poll(() => page.getByText(AWAY).count()).toBe(0);
    expect(await page.getByRole('button', { name: /^Confirm: let/ }).isDisabled()).toBe(false);
    expect(await page.evaluate(CACHED)).toEqual(SHELL_ONLY);
  });

  it('shows it to a person who is signed in, and to nobody once they have signed out', async () => {
    const { site, page } = await signedIn();
    await site.leave();
    await page.reload();
    await page.getByText('Read at 05:10').waitFor();
    expect(await page.locator('.bed-row').count()).toBeGreaterThan(0);
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.getByRole('heading', { name: 'Who are you?' }).waitFor();
    await expectNothingKept(page, site);
    await page.reload();
    await page.getByRole('heading', { name: 'Who are you?' }).waitFor();
    await expectNothingKept(page, site);
  });

  it('tells the daemon of a sign-out that it could not hear', async () => {
    const { site, page } = await signedIn();
    // The same daemon all the time, so that the sign-in would still be good; only the line is cut.
    await page.context().setOffline(true);
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.getByRole('heading', { name: 'Who are you?' }).waitFor();
    await page.context().setOffline(false);
    await page.reload();
    await page.getByRole('heading', { name: 'Who are you?' }).waitFor();
    expect(await page.evaluate(`fetch('/api/today').then((answer) => answer.status)`)).toBe(401);
    await expectNothingKept(page, site);
  });

  it('keeps nothing after a sign-out that the daemon heard', async () => {
    const { site, page } = await signedIn();
    await page.getByRole('button', { name: 'Sign out' }).click();
    await page.getByRole('heading', { name: 'Who are you?' }).waitFor();
    await expectNothingKept(page, site);
    await site.leave();
    await page.reload();
    await page.getByText(AWAY).waitFor();
    await expectNothingKept(page, site);
  });

  it('shows nothing after the sign-in has ended by itself', async () => {
    const { site, page } = await signedIn();
    await site.leave();
    await page.evaluate(ENDED);
    await page.reload();
    await page.getByText(AWAY).waitFor();
    await expectNothingKept(page, site);
  });

  it('takes a new build at once, and keeps that one alone', async () => {
    const site = await rig.site();
    const page = await rig.open(site, ALLOW);
    await keptAll(page);
    const before = (await page.evaluate('caches.keys()')) as string[];
    const folder = scratchFolder();
    cpSync(BUILT_PAGE, folder, { recursive: true });
    const script = join(folder, 'page.js');
    writeFileSync(script, `${readFileSync(script, 'utf8')}\nwindow.nextBuild = true;\n`);
    await site.leave();
    await site.comeBack(folder);
    await page.reload();
    expect(await page.evaluate('window.nextBuild')).toBe(true);
    // The old one goes as soon as the new one is whole.
    const isNewAlone = `caches.keys().then((names) => names.length === 1 && names[0] !== '${before[0]}')`;
    await expect.poll(() => page.evaluate(isNewAlone), { timeout: 20_000 }).toBe(true);
    await keptAll(page);
    await site.leave();
    await page.reload();
    await page.getByText('Read at 05:10').waitFor();
    expect(await page.evaluate('window.nextBuild')).toBe(true);
  });
});

const SHELL_ONLY = ['/', '/icon.svg', '/page.css', '/page.js'];

/** Paths of everything that a worker keeps. */
const CACHED = `(async () => {
  const paths = [];
  for (const name of await caches.keys())
    for (const request of await (await caches.open(name)).keys()) paths.push(new URL(request.url).pathname);
  return paths.sort();
})()`;

/** Whether the worker is there with its shell, and the beds are kept. */
const IS_KEPT = `(async () => {
  const there = await navigator.serviceWorker.getRegistration();
  if (!there?.active || there.installing || there.waiting) return false;
  return (await ${CACHED}).length >= 4 && localStorage.getItem('dewbeat-beds') !== null;
})()`;

const olderBy = (min: number) => `(() => {
  const kept = JSON.parse(localStorage.getItem('dewbeat-site'));
  localStorage.setItem('dewbeat-site', JSON.stringify({ ...kept, readAtMs: kept.readAtMs - ${min} * 60000 - 5000 }));
})()`;

const ENDED = `(() => {
  const kept = JSON.parse(localStorage.getItem('dewbeat-site'));
  localStorage.setItem('dewbeat-site', JSON.stringify({ ...kept, endsAtMs: Date.now() - 1 }));
})()`;

async function keptAll(page: Page): Promise<void> {
  await expect.poll(() => page.evaluate(IS_KEPT), { timeout: 20_000 }).toBe(true);
}

/** Neither on the screen nor in anything that the browser keeps stands a word of the site. */
async function expectNothingKept(page: Page, { config }: ServedSite): Promise<void> {
  const kept = String(
    await page.evaluate(`(async () => {
      const texts = [document.documentElement.innerHTML, JSON.stringify({ ...localStorage, ...sessionStorage })];
      for (const name of await caches.keys()) {
        const cache = await caches.open(name);
        for (const request of await cache.keys()) texts.push(request.url, await (await cache.match(request)).text());
      }
      return texts.join('\\n');
    })()`),
  );
  expect(kept).not.toContain(config.site.name);
  for (const { id } of config.site.beds) expect(kept).not.toContain(`"${id}"`);
  expect(await page.evaluate(CACHED)).toEqual(SHELL_ONLY);
}
