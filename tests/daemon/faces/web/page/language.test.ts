import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { pinHash } from '../../../../../daemon/site/config/pin-hash.ts';
import { PAGE as EN } from '../../../../../daemon/words/en/page.ts';
import { PAGE_SETUP as EN_SETUP } from '../../../../../daemon/words/en/page-setup.ts';
import { PAGE as ES } from '../../../../../daemon/words/es/page.ts';
import { PAGE_SETUP as ES_SETUP } from '../../../../../daemon/words/es/page-setup.ts';
import { findBrowser } from '../../../../browser.ts';
import { browserRig, DESK, goTo, PHONE } from './browser-rig.ts';
import { ALL_RULES, violations } from './violations.ts';

const SPANISH: Readonly<Record<string, string>> = { ...ES, ...ES_SETUP };

/** Pieces of messages as they stand, between the values; the shortest may stand in a name. */
const ENGLISH: readonly string[] = Object.entries({ ...EN, ...EN_SETUP })
  .filter(([key, message]) => message !== SPANISH[key])
  .flatMap(([, message]) => message.split(/[{}]/))
  .map((piece) => piece.trim())
  .filter(
    (piece) => piece.length >= 5 && !Object.values(SPANISH).some((one) => one.includes(piece)),
  );

const ROOMS = [
  'today',
  'line',
  'bed/green-2',
  'change',
  'change/call',
  'change/keep-off/green-2',
  'change/look/green-2',
  'change/rotation/green-2',
  'confirm',
  'paper/day',
  'paper/failure',
  'log',
  'setup',
];

/** Every text of the page, seen or heard: of a folded part as well. */
const TEXTS = `[
  document.title,
  ...[...document.querySelectorAll('[aria-label]')].map((one) => one.getAttribute('aria-label')),
  document.body.textContent,
].join('\\n')`;

/** Fields of answers that are words for a person even where they are one word. */
const WORDED = ['name', 'label', 'words'];

/** Takes the daemon's own words out of its answers: what is left is the page's. */
async function withoutAnswers(page: Page): Promise<void> {
  let told = 0;
  const blank = (value: unknown, field = ''): unknown => {
    if (typeof value === 'string') {
      return value.includes(' ') || WORDED.includes(field) ? `(${++told})` : value;
    }
    if (Array.isArray(value)) return value.map((one) => blank(one));
    if (typeof value !== 'object' || value === null) return value;
    return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, blank(one, key)]));
  };
  await page.route(/\/api\/(?!events)/, async (route) => {
    const response = await route.fetch();
    await route.fulfill({ response, json: blank(await response.json()) });
  });
}

async function englishOn(page: Page): Promise<string[]> {
  const text = String(await page.evaluate(TEXTS));
  return ['{', ...ENGLISH].filter((piece) => text.includes(piece));
}

describe.skipIf(findBrowser() === null)('the language of the page', () => {
  const rig = browserRig();

  it('is changed with one tap, for this device, and leaves no sentence in the other language', async () => {
    const page = await rig.open(await rig.sharedSite(), { bypassCSP: true });
    await withoutAnswers(page);
    await page.reload();
    await page.locator('.bed-row').first().waitFor();
    expect((await englishOn(page)).length).toBeGreaterThan(10);
    await page.getByRole('button', { name: 'Español' }).click();
    await page.getByRole('heading', { name: ES['page.waiting'], exact: true }).waitFor();
    expect(await page.evaluate('document.documentElement.lang')).toBe('es');
    const found: string[] = [];
    for (const room of ROOMS) {
      await goTo(page, room);
      if (room === 'change/rotation/green-2') await page.locator('.preview table').waitFor();
      const wide = Number(await page.evaluate('document.documentElement.scrollWidth'));
      const lines = [
        ...(await englishOn(page)),
        ...(wide === PHONE.width ? [] : [`is ${wide} px wide`]),
      ];
      found.push(...lines.map((line) => `${room}: ${line}`));
    }
    await page.getByRole('button', { name: ES['page.stop'] }).click();
    await page.getByRole('dialog').waitFor();
    found.push(...(await englishOn(page)), ...(await violations(page, ALL_RULES)));
    expect(found).toEqual([]);
    await page.unrouteAll({ behavior: 'ignoreErrors' });
    await page.reload();
    await page.getByRole('heading', { name: ES['page.room.setup'] }).waitFor();
    expect(await page.locator('.site-time').first().textContent()).toContain(
      'miércoles, 1 de julio',
    );
  });

  it('asks the daemon for its answers in the same language', async () => {
    const page = await rig.open(await rig.sharedSite(), { viewport: DESK });
    const asked = page.waitForRequest('**/api/today');
    await page.getByRole('button', { name: 'Español' }).click();
    expect((await asked).headers()).toMatchObject({ 'x-dewbeat-language': 'es' });
    await page.getByRole('link', { name: ES['page.room.change'] }).click();
    await page.locator('.choices a').nth(2).click();
    const previewed = page.waitForRequest('**/api/preview');
    expect((await previewed).headers()).toMatchObject({ 'x-dewbeat-language': 'es' });
  });

  it.each([
    ['es-MX', 'es', ES],
    ['fr-CA', 'en', EN],
  ] as const)('begins as the browser has it: %s in %s', async (locale, language, words) => {
    const pin = await pinHash('471147', { N: 1024, r: 8, p: 1 });
    const site = await rig.site({
      change: (config) => ({
        ...config,
        page: {
          ...config.page,
          people: [{ name: 'A. Keeper', role: 'keeper', language: 'en', pin }],
        },
      }),
    });
    const page = await rig.open(site, { locale });
    await page.getByRole('heading', { name: words['page.who'] }).waitFor();
    expect(await page.evaluate('document.documentElement.lang')).toBe(language);
    // Whoever cannot read the page finds their language where they have to sign in.
    await page.getByRole('button', { name: 'English' }).click();
    await page.getByRole('heading', { name: EN['page.who'] }).waitFor();
  });
});
