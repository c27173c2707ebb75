import { describe, expect, it } from 'vitest';
import { findBrowser } from '../../../../browser.ts';
import { browserRig, DESK, goTo, PHONE, readyToConfirm } from './browser-rig.ts';

const CONFIRM = 'Confirm: let the water run';
const SCREENS = [
  'today',
  'line',
  'bed/green-2',
  'change',
  'change/call',
  'confirm',
  'paper/day',
  'paper/failure',
  'log',
];
const READ_NEWEST = 'Read the newest plan';

describe.skipIf(findBrowser() === null)('the morning review in a browser', () => {
  const rig = browserRig();

  it.each([
    ['phone', PHONE],
    ['desktop', DESK],
  ])('goes from waiting to confirmed on a %s', async (_, viewport) => {
    const site = await rig.site();
    const page = await rig.open(site, { viewport });
    const heads = await page.locator('main h2').allTextContents();
    expect(heads.slice(0, 4)).toEqual([
      'Waiting for you',
      'Beds, soonest dry first',
      'The day',
      'What does not fit',
    ]);
    const left = await page.locator('.bed-row .dry').allTextContents();
    expect(left).toHaveLength(site.config.site.beds.length);
    const bands = await page.locator('.bed-row .dry-band').allTextContents();
    expect(bands).toHaveLength(left.length);
    for (const band of bands) expect(band).toMatch(/^\(\d\d:\d\d (to|or later)/);
    await goTo(page, 'bed/green-2');
    await page.getByText(/^Dry at about \d\d:\d\d without water, /).waitFor();
    await page.getByText('nine times in ten within the hatching').waitFor();
    await page.getByRole('link', { name: /^Confirm/ }).click();
    await page.getByRole('heading', { name: 'Confirm plan 1' }).waitFor();
    await page.getByText(/^Laid so that each bed gets dry/).waitFor();
    await readyToConfirm(page);
    await page.getByRole('button', { name: CONFIRM }).click();
    await page.getByRole('heading', { name: 'Confirmed', exact: true }).waitFor();
    const today = await (await fetch(`${site.url}/api/today`)).json();
    expect(today).toMatchObject({ inForce: { revision: 1, confirmedBy: 'A. Keeper' } });
    // What a person wants to know before the phone goes back into the pocket.
    await page.getByText(/^Next water: 0\d:\d\d on Green \d\.$/).waitFor();
    await page.getByText(/^file: /).waitFor();
  });

  it('lets the plan out with its leeway where a person chooses that', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'confirm', viewport: PHONE });
    await readyToConfirm(page);
    await page.getByRole('radio', { name: /^With its leeway/ }).check();
    await page.getByText(/^What you have looked at has to hold all day/).waitFor();
    await page.getByText('Bed by bed; take one out of it').click();
    await page.getByRole('checkbox', { name: /^Green 3: / }).uncheck();
    await page.getByRole('button', { name: CONFIRM }).click();
    await page.getByRole('heading', { name: 'Confirmed', exact: true }).waitFor();
    await page.getByText(/^With its leeway for Green 1/).waitFor();
    const today = await (await fetch(`${site.url}/api/today`)).json();
    expect(today.inForce.leewayLines[0]).toMatch(/^The daemon follows the day/);
  });

  it('asks for the name and for each caution before it confirms', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'confirm' });
    const confirm = page.getByRole('button', { name: CONFIRM });
    await confirm.click();
    await page.getByText('Give your name first.').waitFor();
    await page.getByLabel('Your name').fill('A. Keeper');
    const boxes = await page.getByRole('checkbox').all();
    expect(boxes.length).toBeGreaterThanOrEqual(3);
    for (const box of boxes.slice(1)) await box.check();
    await confirm.click();
    await page.getByText('Look at each caution and tick it first.').waitFor();
    expect(await page.evaluate('document.activeElement.id')).toBe(
      await boxes[0]?.getAttribute('id'),
    );
    const today = await (await fetch(`${site.url}/api/today`)).json();
    expect(today).toMatchObject({ inForce: null });
  });

  it('never confirms a plan that changed meanwhile, and says what changed', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'confirm' });
    // The page does not hear of the newer plan, so that only the daemon can refuse.
    const body = await (await fetch(`${site.url}/api/today`)).text();
    await page.route('**/api/today', (route) => route.fulfill({ json: JSON.parse(body) }));
    await readyToConfirm(page);
    site.clock.nowMs += 4 * 3_600_000;
    await site.plan();
    const answer = page.waitForResponse('**/api/confirm');
    await page.getByRole('button', { name: CONFIRM }).click();
    expect((await answer).status()).toBe(409);
    const refusal = (await (await answer).json()) as { code: string; message: string };
    expect(refusal.code).toBe('revision_outdated');
    await page.getByText(refusal.message).waitFor();
    await page.getByText('What changed against the plan that you read:').waitFor();
    const today = await (await fetch(`${site.url}/api/today`)).json();
    expect(today).toMatchObject({ newest: { revision: 2 }, inForce: null });
  });

  it('tells a person who is reading that a newer plan was made, and takes their ticks back', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'confirm' });
    await readyToConfirm(page);
    site.clock.nowMs += 4 * 3_600_000;
    await site.plan();
    await page.getByText('A newer plan was made while you read this one.').waitFor();
    expect(await page.getByRole('button', { name: CONFIRM }).isDisabled()).toBe(true);
    await page.getByRole('button', { name: READ_NEWEST }).click();
    await page.getByRole('heading', { name: 'Confirm plan 2' }).waitFor();
    for (const box of await page.getByRole('checkbox').all()) {
      expect(await box.isChecked()).toBe(false);
    }
  });

  it('lets two people at once confirm one thing only', async () => {
    const site = await rig.site();
    const [one, two] = await Promise.all([
      rig.open(site, { path: 'confirm' }),
      rig.open(site, { path: 'confirm', viewport: DESK }),
    ]);
    await readyToConfirm(one, 'A. Keeper');
    await readyToConfirm(two, 'B. Keeper');
    await Promise.all([
      one.getByRole('button', { name: CONFIRM }).click(),
      two.getByRole('button', { name: CONFIRM }).click(),
    ]);
    await Promise.all(
      [one, two].map((page) =>
        page.locator('h2:text-is("Confirmed"), .told.wrong').first().waitFor(),
      ),
    );
    const done = await Promise.all(
      [one, two].map((page) => page.locator('h2').first().textContent()),
    );
    expect(done.filter((head) => head === 'Confirmed')).toHaveLength(1);
  });

  it('stops everything in two taps from every screen', async () => {
    const site = await rig.site();
    const page = await rig.open(site);
    for (const [index, path] of SCREENS.entries()) {
      await goTo(page, path);
      const answer = page.waitForResponse('**/api/hold');
      await page.getByRole('button', { name: 'Stop water' }).click();
      await page.getByRole('button', { name: 'Stop all beds' }).click();
      expect((await answer).status(), path).toBe(200);
      await page.getByRole('dialog').waitFor({ state: 'detached' });
      const today = (await (await fetch(`${site.url}/api/today`)).json()) as {
        holds: { beds: string; who: string }[];
      };
      expect(today.holds, path).toHaveLength(index + 1);
      expect(today.holds[index], path).toMatchObject({ beds: 'all', who: 'someone at the page' });
    }
    await page.locator('.told.well').waitFor();
  });

  it('says that everything is stopped until a fresh plan is confirmed, and not after', async () => {
    const site = await rig.site();
    const page = await rig.open(site);
    await page.getByRole('button', { name: 'Stop water' }).click();
    await page.getByRole('button', { name: 'Stop all beds' }).click();
    const banner = page.locator('.told.well');
    await banner.waitFor();
    await site.plan('all');
    await page.getByRole('link', { name: /^Confirm.* 2$/ }).click();
    await banner.waitFor();
    await page.getByRole('heading', { name: 'Confirm plan 2' }).waitFor();
    await readyToConfirm(page);
    await page.getByRole('button', { name: CONFIRM }).click();
    await page.getByRole('heading', { name: 'Confirmed', exact: true }).waitFor();
    await banner.waitFor({ state: 'detached' });
    await goTo(page, 'today');
    expect(await page.getByRole('link', { name: 'Release water' }).count()).toBe(0);
  });

  it('stops one bed in two taps, the bed of the page first', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'bed/green-4' });
    await page.getByRole('button', { name: 'Stop water' }).click();
    const first = page.locator('.bed-buttons button').first();
    expect(await first.textContent()).toContain('Stop: Green 4');
    await first.click();
    await page.locator('.told.well').waitFor();
    const today = await (await fetch(`${site.url}/api/today`)).json();
    expect(today).toMatchObject({ holds: [{ beds: ['green-4'] }] });
  });

  it('says when the daemon is away, how old it is, refuses to confirm, and says that a stop failed', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'confirm' });
    await readyToConfirm(page);
    await site.leave();
    await page.getByText('The daemon does not answer.').first().waitFor();
    await page.getByText(/Read at 05:10, .* ago/).waitFor();
    expect(await page.getByRole('button', { name: CONFIRM }).isDisabled()).toBe(true);
    await page.getByRole('button', { name: 'Stop water' }).click();
    await page.getByRole('button', { name: 'Stop all beds' }).click();
    await page.getByText('NOT STOPPED: the daemon does not answer.', { exact: false }).waitFor();
  });
});
