import { type Browser, type BrowserContext, chromium } from 'playwright-core';
import { findProgram, isProgram } from './find-program.ts';

/** Names under which the browser is installed, the likeliest first. */
const NAMES = ['chromium', 'chromium-browser', 'google-chrome-stable', 'google-chrome'];

/** No sandbox: tests often run as root; and nothing that asks an address outside. */
const ARGUMENTS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/** The browser's program, or null: then its tests are left out, and said to be. */
export function findBrowser(): string | null {
  const { DEWBEAT_CHROMIUM: named } = process.env;
  if (named !== undefined) return isProgram(named) ? named : null;
  return NAMES.map(findProgram).find((path) => path !== null) ?? null;
}

/** Starts the machine's browser without a window. */
export async function startBrowser(): Promise<Browser> {
  const executablePath = findBrowser();
  if (executablePath === null) {
    throw new Error('chromium: is not installed; install it or skip its tests');
  }
  // It does not start under the library that shifts the clock of the tests.
  const { LD_PRELOAD: _, ...env } = process.env;
  return chromium.launch({ executablePath, args: ARGUMENTS, env });
}

/** Has the pages of a browser read the clock of the tests, which may be a shifted one. */
export async function shareClock(context: BrowserContext): Promise<void> {
  const { FAKETIME: offsetS } = process.env;
  if (offsetS === undefined) return;
  const offsetMs = Number(offsetS) * 1000;
  await context.addInitScript(`globalThis.Date = class extends Date {
    static now() {
      return super.now() + ${offsetMs};
    }
    constructor(...given) {
      super(...(given.length === 0 ? [Date.now()] : given));
    }
  };`);
}
