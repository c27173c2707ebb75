import { type Browser, chromium } from 'playwright-core';
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
  return chromium.launch({ executablePath, args: ARGUMENTS });
}
