import { describe, expect, it } from 'vitest';
import { findBrowser } from '../../../../browser.ts';
import { browserRig, goTo, readyToConfirm } from './browser-rig.ts';

const CHANGES: readonly (readonly [path: string, taps: readonly string[]])[] = [
  ['rotation/green-2', []],
  ['water/green-2', []],
  ['trim/green-2', ['Dose: less', 'stays wet']],
  ['keep-off/green-2', ['mow']],
  ['replan', []],
];

describe.skipIf(findBrowser() === null)('a change on the page', () => {
  const rig = browserRig();

  it('shows before and after, keeps nothing until it is told to, then makes a new plan that is held', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'change/call' });
    await page.getByRole('button', { name: 'Hotter by: more' }).click();
    await page.getByRole('button', { name: 'Wind times: more' }).click();
    await page.locator('.before-after tbody tr').first().waitFor();
    const heads = await page.locator('.before-after thead th').allTextContents();
    expect(heads.slice(0, 4)).toEqual(['Bed', 'Cycles', 'Minutes', 'Of the loss']);
    expect(await page.evaluate('document.documentElement.scrollWidth')).toBe(360);
    expect(heads[4]).toMatch(/^Lowest at \d\d:\d\d$/);
    const before = await (await fetch(`${site.url}/api/today`)).json();
    expect(before).toMatchObject({ newest: { revision: 1 }, call: { who: null } });
    await page.getByRole('button', { name: 'Keep this' }).click();
    await page.getByText('Give your name first.').waitFor();
    await page.getByLabel('Your name').fill('A. Keeper');
    await page.getByRole('button', { name: 'Keep this' }).click();
    await page.getByRole('heading', { name: 'Day call: kept' }).waitFor();
    const after = await (await fetch(`${site.url}/api/today`)).json();
    expect(after).toMatchObject({
      newest: { revision: 2, standing: 'held' },
      inForce: null,
      call: { who: 'A. Keeper', windFraction: 1.25 },
    });
    await page.getByRole('link', { name: 'Read and confirm plan 2' }).click();
    await page.getByRole('heading', { name: 'Confirm plan 2' }).waitFor();
  });

  it('keeps each kind of change in a few taps, every one as a held plan', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'change' });
    for (const [index, [path, taps]] of CHANGES.entries()) {
      await goTo(page, `change/${path}`);
      if (index === 0) await page.getByLabel('Your name').fill('A. Keeper');
      for (const name of taps) await page.getByRole('button', { name, exact: true }).click();
      await page.locator('.preview').getByText('cycles').first().waitFor();
      await page.getByRole('button', { name: 'Keep this' }).click();
      await page.getByRole('heading', { name: /: kept$/ }).waitFor();
      expect(await page.evaluate('document.activeElement.textContent'), path).toMatch(/: kept$/);
      const today = await (await fetch(`${site.url}/api/today`)).json();
      const newest = { revision: index + 2, standing: 'held' };
      expect(today, path).toMatchObject({ newest, inForce: null });
    }
  });

  it('answers the wind from the first screen: choose, see, keep', async () => {
    const site = await rig.site();
    const page = await rig.open(site);
    await page.getByText('What each answer brings').click();
    await page.getByText('Until somebody answers, the plan runs anyway.').waitFor();
    await page.getByRole('link', { name: 'Skip the windy hours' }).click();
    await page.getByRole('heading', { name: 'Answer to the wind' }).waitFor();
    await page.locator('.before-after tbody tr').first().waitFor();
    expect(await page.evaluate('document.documentElement.scrollWidth')).toBe(360);
    await page.getByLabel('Your name').fill('A. Keeper');
    await page.getByRole('button', { name: 'Keep this' }).click();
    await page.getByRole('heading', { name: 'Answer to the wind: kept' }).waitFor();
    await goTo(page, 'today');
    // Answered, it is one line; the answers stand behind it.
    expect(await page.getByRole('link', { name: 'Run anyway' }).isVisible()).toBe(false);
    await page.getByText('A. Keeper answered at', { exact: false }).click();
    await page.getByText('Skip the windy hours, as planned:', { exact: false }).waitFor();
    const after = await (await fetch(`${site.url}/api/today`)).json();
    expect(after).toMatchObject({ newest: { revision: 2, standing: 'held' }, inForce: null });
  });

  it('releases stopped water in one flow: banner, form, the confirm of that plan', async () => {
    const site = await rig.site();
    const page = await rig.open(site);
    await page.getByRole('button', { name: 'Stop water' }).click();
    await page.getByRole('button', { name: 'Stop all beds' }).click();
    await page.getByRole('link', { name: 'Release water' }).waitFor();
    // The way back stands on every screen as long as the water is stopped.
    await goTo(page, 'bed/green-2');
    await page.getByRole('link', { name: 'Release water' }).click();
    await page.getByRole('heading', { name: 'Release water' }).waitFor();
    await page.getByLabel('Your name').fill('A. Keeper');
    await page.getByRole('button', { name: 'Make the plan, then confirm' }).click();
    await page.getByRole('heading', { name: 'Confirm plan 2' }).waitFor();
    await page.getByText('Confirming releases the water.', { exact: false }).waitFor();
    // Until then it stays stopped, and the way back is that plan.
    await goTo(page, 'log');
    await page.getByRole('link', { name: 'Read and confirm plan 2' }).click();
    await readyToConfirm(page);
    await page.getByRole('button', { name: 'Confirm: let the water run' }).click();
    await page.getByRole('heading', { name: 'Confirmed', exact: true }).waitFor();
    const today = await (await fetch(`${site.url}/api/today`)).json();
    expect(today).toMatchObject({ inForce: { revision: 2 }, holds: [] });
  });

  it('logs a look in a few taps, and shows it on the bed', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'bed/green-2' });
    await page.getByRole('link', { name: 'Log a look' }).click();
    await page.getByLabel('Your name').fill('A. Keeper');
    await page.getByRole('button', { name: 'Log this look' }).click();
    await page.getByText('nothing was seen', { exact: false }).waitFor();
    await page.getByRole('button', { name: 'lightening', exact: true }).click();
    await page.getByRole('button', { name: 'Log this look' }).click();
    await page.getByRole('heading', { name: 'Look logged' }).waitFor();
    await page.getByRole('link', { name: 'Back to the bed' }).click();
    await page.getByRole('heading', { name: 'Looks' }).waitFor();
    await page.getByText('A. Keeper: lightening').first().waitFor();
    const view = (await (await fetch(`${site.url}/api/bed/green-2`)).json()) as {
      looks: { kind: string; who: string }[];
    };
    expect(view.looks).toMatchObject([{ kind: 'lightening', who: 'A. Keeper' }]);
  });

  it('moves a stage on and takes the step back', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'change/stage/green-2' });
    await page.getByLabel('Your name').fill('A. Keeper');
    await page.getByRole('button', { name: 'emergence', exact: true }).click();
    await page.getByLabel('What you saw').fill('a haze of green');
    await page.getByRole('button', { name: 'Keep this' }).click();
    await page.getByRole('heading', { name: 'Stage: kept' }).waitFor();
    await goTo(page, 'bed/green-2');
    await page.getByRole('heading', { name: 'Stage: emergence' }).waitFor();
    await page.getByRole('link', { name: 'Stage', exact: true }).click();
    await page.getByRole('button', { name: 'one step back', exact: true }).click();
    await page.getByLabel('What you saw').fill('only one corner');
    await page.getByRole('button', { name: 'Keep this' }).click();
    await page.getByRole('heading', { name: 'Stage: kept' }).waitFor();
    await goTo(page, 'bed/green-2');
    await page.getByRole('heading', { name: 'Stage: germination' }).waitFor();
  });
});
