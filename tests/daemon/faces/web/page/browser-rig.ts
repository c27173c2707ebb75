import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished } from 'vitest';
import { shareClock, startBrowser } from '../../../../browser.ts';
import { type ServedSite, servedSite } from './served-site.ts';

export const PHONE = { width: 360, height: 740 };
export const DESK = { width: 1280, height: 900 };

/** Longer than any step of the page takes on a busy machine; a step that fails says which it was. */
const PATIENCE_MS = 10_000;

export interface BrowserRig {
  /** The demo with a plan that waits, one for all tests of a file: for those that change nothing. */
  sharedSite(): Promise<ServedSite>;
  /** A site with a plan that waits, gone when the test ends. */
  site(given?: Parameters<typeof servedSite>[0]): Promise<ServedSite>;
  /** A person's browser at a site, which wrote no fault to its console. */
  open(site: ServedSite, given?: BrowserContextOptions & { path?: string }): Promise<Page>;
}

/** One browser for all tests of a file; every person in it has a session of their own. */
export function browserRig(): BrowserRig {
  let browser: Browser | null = null;
  let shared: ServedSite | null = null;
  beforeAll(async () => {
    browser = await startBrowser();
  });
  afterAll(async () => {
    await browser?.close();
    await shared?.close();
    expect(shared?.faults ?? []).toEqual([]);
  });
  return {
    async sharedSite() {
      if (shared === null) {
        shared = await servedSite({});
        await shared.plan();
      }
      return shared;
    },
    async site(given = {}) {
      const site = await servedSite(given);
      onTestFinished(async () => {
        await site.close();
        expect(site.faults).toEqual([]);
      });
      await site.plan();
      return site;
    },
    async open(site, given = {}) {
      if (browser === null) throw new Error('the browser was not started');
      const { path = 'today', ...options } = given;
      const context = await browser.newContext({
        viewport: PHONE,
        locale: 'en-US',
        // What a test answers in the daemon's place must not depend on a worker.
        serviceWorkers: 'block',
        ...options,
      });
      await shareClock(context);
      // Whatever asks a foreign address is a fault of the page.
      const foreign: string[] = [];
      await context.route(
        (url) => url.origin !== site.url,
        (route) => {
          foreign.push(route.request().url());
          return route.abort();
        },
      );
      context.setDefaultTimeout(PATIENCE_MS);
      const page = await context.newPage();
      const faults: string[] = [];
      page.on('pageerror', (error) => faults.push(error.message));
      page.on('console', (message) => {
        // A daemon that is away or refuses is told by the browser as well; that is no fault.
        const isNetwork = /Failed to load resource|ERR_/.test(message.text());
        if (message.type() === 'error' && !isNetwork) faults.push(message.text());
      });
      onTestFinished(async () => {
        await context.close();
        expect({ faults, foreign }).toEqual({ faults: [], foreign: [] });
      });
      await page.goto(`${site.url}/#/${path}`);
      await page.locator('main h2').first().waitFor();
      return page;
    },
  };
}

/** Ticks every caution and gives a name, as a person does before a confirm. */
export async function readyToConfirm(page: Page, who = 'A. Keeper'): Promise<void> {
  // A list of boxes does not wait for its form: it would be taken as it stands, empty.
  await page.getByRole('heading', { name: /^Confirm plan/ }).waitFor();
  await page.getByLabel('Your name').fill(who);
  for (const box of await page.getByRole('checkbox').all()) await box.check();
}

/** Goes to a room and waits until what it reads is there and its pictures follow their width. */
export async function goTo(page: Page, room: string): Promise<void> {
  await page.evaluate(`location.hash = '#/${room}'`);
  const twoFrames =
    'new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))';
  await page.evaluate(twoFrames);
  await page.locator('main h2').first().waitFor();
  await page.locator('.reading').waitFor({ state: 'hidden' });
  await page.evaluate(twoFrames);
}
