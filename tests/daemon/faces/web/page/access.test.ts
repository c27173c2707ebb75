import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { findBrowser } from '../../../../browser.ts';
import { browserRig, DESK, goTo } from './browser-rig.ts';
import { ALL_RULES, CONTRAST_RULES, violations } from './violations.ts';

const ROOMS = [
  'today',
  'line',
  'bed/green-2',
  'change',
  'change/call',
  'change/keep-off',
  'change/look',
  'change/stage',
  'change/trim',
  'change/water',
  'confirm',
  'paper/day',
  'paper/failure',
  'log',
  'setup',
];

describe.skipIf(findBrowser() === null)('the page for everyone', () => {
  const rig = browserRig();

  it('has no violation of WCAG 2.2 AA, text at 7 to 1, targets of 44 pixels, and fits 360', async () => {
    // The page's own policy forbids the checker's script, and it is not what is checked here.
    const page = await rig.open(await rig.sharedSite(), { bypassCSP: true });
    const found: string[] = [];
    for (const room of ROOMS) {
      await goTo(page, room);
      const small = (await page.evaluate(SMALL_TARGETS)) as string[];
      const wide = Number(await page.evaluate('document.documentElement.scrollWidth'));
      const lines = [
        ...(await violations(page, ALL_RULES)),
        ...small,
        ...(wide === 360 ? [] : [`is ${wide} px wide`]),
      ];
      found.push(...lines.map((line) => `${room}: ${line}`));
    }
    await page.getByRole('button', { name: 'Hold water' }).click();
    found.push(...(await violations(page, ALL_RULES)).map((line) => `hold: ${line}`));
    expect(found).toEqual([]);
  });

  it('keeps its contrast in the dark', async () => {
    const page = await rig.open(await rig.sharedSite(), { bypassCSP: true, colorScheme: 'dark' });
    const found: string[] = [];
    for (const room of ROOMS) {
      await goTo(page, room);
      const lines = await violations(page, CONTRAST_RULES);
      found.push(...lines.map((line) => `${room}: ${line}`));
    }
    expect(found).toEqual([]);
  });

  it('can be confirmed by keyboard alone', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { viewport: DESK });
    await tabTo(page, 'Confirm revision 1');
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Confirm revision 1' }).waitFor();
    for (const words of ['The turf is clear', 'No injector', 'Covers are off']) {
      await tabTo(page, words);
      expect(await page.evaluate(OUTLINED)).toBe(true);
      await page.keyboard.press('Space');
    }
    await tabTo(page, 'Your name');
    await page.keyboard.type('A. Keeper');
    await tabTo(page, 'Confirm: let the water run');
    await page.keyboard.press('Enter');
    await page.getByRole('heading', { name: 'Confirmed', exact: true }).waitFor();
  });

  it('holds by keyboard alone, and gives the focus back when nothing is held', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { viewport: DESK });
    await tabTo(page, 'Hold water');
    await page.keyboard.press('Enter');
    await page.getByRole('dialog').waitFor();
    await page.keyboard.press('Escape');
    await page.getByRole('dialog').waitFor({ state: 'detached' });
    expect(await page.evaluate(FOCUSED)).toBe('Hold water');
    await page.keyboard.press('Enter');
    await page.getByRole('dialog').waitFor();
    // Closed and pressed again before the page has heard of the closing: the press is not lost.
    await page.evaluate(CLOSED_AND_PRESSED);
    await page.getByText('Hold all beds').waitFor();
    await page.waitForFunction(`document.querySelector('dialog')?.open === true`);
    expect(await page.evaluate(FOCUSED)).toBe('Hold all beds');
    await page.keyboard.press('Enter');
    await page.getByText('Water stopped: everything.', { exact: false }).first().waitFor();
  });

  it('tells the states of a cycle apart by shape, each with its word', async () => {
    const page = await rig.open(await rig.sharedSite(), { path: 'line' });
    const marks = (await page.evaluate(
      `[...document.querySelectorAll('.legend .mark')].map((one) => one.innerHTML)`,
    )) as string[];
    expect(marks).toHaveLength(9);
    expect(new Set(marks).size).toBe(9);
    const words = await page.locator('.legend').first().locator('li').allTextContents();
    expect(words.every((one) => one.trim().length > 5)).toBe(true);
  });

  it('moves nothing for those who asked for less motion', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { reducedMotion: 'reduce' });
    await page.getByRole('button', { name: 'Hold water' }).click();
    await page.getByRole('button', { name: 'Hold all beds' }).click();
    await page.locator('.told').first().waitFor();
    const moves = await page.evaluate(
      `getComputedStyle(document.querySelector('.told')).animationName`,
    );
    expect(moves).toBe('none');
  });

  it.each([
    ['day', 'Cycles'],
    ['failure', 'Order of hand watering'],
  ])('prints the card of the %s on paper', async (card, caption) => {
    const page = await rig.open(await rig.sharedSite(), { path: `paper/${card}` });
    await page.getByText(caption).waitFor();
    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('.action-bar').isVisible()).toBe(false);
    expect(await page.locator('.site-head nav').isVisible()).toBe(false);
    expect(await page.locator('.card').isVisible()).toBe(true);
    const pdf = await page.pdf({ format: 'Letter' });
    expect(pdf.subarray(0, 5).toString()).toBe('%PDF-');
    const pages = pdf.toString('latin1').match(/\/Type\s*\/Page\b/g) ?? [];
    expect(pages.length).toBeGreaterThanOrEqual(1);
    expect(pages.length).toBeLessThanOrEqual(3);
  });
});

/** Names of what can be tapped and is smaller than 44 pixels; a link inside a sentence may be. */
const SMALL_TARGETS = `[...document.querySelectorAll('button, select, input, summary, a')]
  .filter((one) => one.checkVisibility() && !one.classList.contains('skip'))
  .filter((one) => !(one.tagName === 'A' && getComputedStyle(one).display === 'inline' && one.closest('p, svg')))
  .map((one) => {
    // A box inside its label is tapped by the label.
    const target = one.closest('label') ?? one;
    const { width, height } = target.getBoundingClientRect();
    return { name: (one.textContent || one.getAttribute('aria-label') || one.id).trim(), width, height };
  })
  .filter(({ width, height }) => height < 44 || width < 32)
  .map(({ name, width, height }) => name + ' is ' + Math.round(width) + ' by ' + Math.round(height))`;

const FOCUSED = `(() => {
  const one = document.activeElement;
  const label = one.labels?.[0]?.innerText ?? '';
  return (label || one.getAttribute('aria-label') || one.innerText || '').replace(/\\s+/g, ' ').trim();
})()`;

const OUTLINED = `getComputedStyle(document.activeElement).outlineStyle !== 'none'`;

/** Presses Tab until the focus is on what has these words. */
const CLOSED_AND_PRESSED = `(() => {
  document.querySelector('dialog').close();
  document.querySelector('.action-bar .hold').click();
})()`;

async function tabTo(page: Page, words: string): Promise<void> {
  for (let presses = 0; presses < 120; presses++) {
    await page.keyboard.press('Tab');
    if (String(await page.evaluate(FOCUSED)).startsWith(words)) return;
  }
  throw new Error(`the focus never came to "${words}"`);
}
