import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { findBrowser } from '../../../../browser.ts';
import { browserRig } from './browser-rig.ts';

const BEDS = 'Green\tArea (ft²)\nGreen 1\t5000\nGreen 2\t4600';
const STATIONS =
  'Valve\tGreen\tFlow (gpm)\tRate (in/h)\ng1\tGreen 1\t54.8\t0.72\ng2\tGreen 2\t54.8\t0.68';

describe.skipIf(findBrowser() === null)('the set-up on the page', () => {
  const rig = browserRig();

  it('sets a site up on a phone: errors beside their field, weather, sand, then the write', async () => {
    const site = await rig.site();
    const page = await rig.open(site, { path: 'setup' });
    const fill = (name: string, value: string) => page.getByLabel(name).fill(value);
    const check = () => page.getByRole('button', { name: 'Check, and show' }).click();
    await fill('Name of the site', 'Tern Flats (invented)');
    await fill('Coordinates', '133.5, -42.1');
    await fill('Height above the sea', '40 ft');
    await fill('Time zone', 'Etc/GMT+3');
    await fill('Highest air temperature', '85 °F');
    await fill('Lowest air temperature', '65 °F');
    await fill('Mean wind', '8 mph');
    await fill('Flow of the pump', '400');
    await fill('Beds, one a line', BEDS);
    await fill('Stations, one a line', STATIONS);
    await check();
    await page.getByRole('heading', { name: 'Not yet: 2 things are wrong' }).waitFor();
    const coordinates = page.getByLabel('Coordinates');
    expect(await coordinates.getAttribute('aria-invalid')).toBe('true');
    const described = await coordinates.getAttribute('aria-describedby');
    const told = described?.split(' ').map((id) => page.locator(`[id="${id}"]`).textContent());
    expect((await Promise.all(told ?? [])).join(' ')).toContain('the latitude comes first');
    await coordinates.fill('33.5, -42.1');
    await fill('Flow of the pump', '400 gpm');
    await page.getByRole('button', { name: 'Try the weather' }).click();
    await page.getByText('Last row read').waitFor();
    await page.getByRole('button', { name: 'Dry it down' }).click();
    await page.getByRole('img', { name: /Water of the seed layer/ }).waitFor();
    await check();
    await page.getByRole('heading', { name: 'This would be written' }).waitFor();
    expect(Number(await page.evaluate('document.documentElement.scrollWidth'))).toBe(360);
    await page.getByLabel('Your name').fill('A. Keeper');
    await page.getByRole('button', { name: 'Write this' }).click();
    await page.getByText(/^Written: /).waitFor();
    const text = readFileSync(join(site.config.baseFolder, 'dewbeat.yaml'), 'utf8');
    expect(text).toContain('pump_flow: 400 gpm');
    expect(text).toContain('{ id: green-2, name: Green 2, area: 4600 ft² }');
  });

  it('shows anew what is typed after a check before it can be written', async () => {
    const page = await rig.open(await rig.site(), { path: 'setup' });
    await page.getByRole('button', { name: 'Check, and show' }).click();
    await page.getByRole('heading', { name: /^Not yet/ }).waitFor();
    expect(await page.getByRole('button', { name: 'Write this' }).count()).toBe(0);
    await page.getByRole('button', { name: 'Add a person' }).focus();
    await page.keyboard.press('Enter');
    await page.getByLabel('PIN, six characters or more').fill('1234');
    await page.getByLabel('Name', { exact: true }).fill('A. Keeper');
    await page.getByRole('button', { name: 'Check, and show' }).click();
    await page
      .getByText(/must have 6 to 64 characters/)
      .first()
      .waitFor();
  });
});
