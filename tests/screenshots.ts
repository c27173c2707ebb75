import { mkdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { startBrowser } from './browser.ts';
import { goTo } from './daemon/faces/web/page/browser-rig.ts';
import { servedSite } from './daemon/faces/web/page/served-site.ts';

const FOLDER = fileURLToPath(new URL('../daemon/faces/web/page/screenshots/', import.meta.url));

/** The pictures of the README: the invented demo, a little after five in the morning. */
const SHOTS = [
  { name: 'phone-morning', room: 'today', width: 390, height: 844 },
  { name: 'day-line', room: 'line', width: 960, height: 700 },
  { name: 'bed', room: 'bed/green-2', width: 960, height: 940 },
] as const;

async function main(): Promise<void> {
  mkdirSync(FOLDER, { recursive: true });
  const site = await servedSite({});
  const browser = await startBrowser();
  try {
    await site.plan();
    for (const { name, room, width, height } of SHOTS) {
      const context = await browser.newContext({ viewport: { width, height }, locale: 'en-US' });
      const page: Page = await context.newPage();
      await page.goto(`${site.url}/#/today`);
      await goTo(page, room);
      const path = join(FOLDER, `${name}.png`);
      await page.screenshot({ path });
      await context.close();
      process.stdout.write(`${name}.png: ${Math.round(statSync(path).size / 1024)} kB\n`);
    }
  } finally {
    await browser.close();
    await site.close();
  }
}

await main();
