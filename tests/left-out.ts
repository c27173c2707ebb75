import { findBroker, findOpenssl } from './broker.ts';
import { findBrowser } from './browser.ts';

/**
 * Tests that need a broker or a browser are left out where there is none. A green run must not hide
 * that, so the last lines say it; `DEWBEAT_REQUIRE_BROKER=1` and `DEWBEAT_REQUIRE_BROWSER=1` make
 * it a failure.
 */
export function setup(): (() => void) | undefined {
  const { DEWBEAT_REQUIRE_BROKER: broker, DEWBEAT_REQUIRE_BROWSER: browser } = process.env;
  const leftOut = [
    { what: leftOutForBroker(), required: broker === '1', by: 'DEWBEAT_REQUIRE_BROKER' },
    { what: leftOutForBrowser(), required: browser === '1', by: 'DEWBEAT_REQUIRE_BROWSER' },
  ].filter(({ what }) => what !== null);
  for (const { what, required, by } of leftOut) {
    if (required) throw new Error(`tests: ${what} (${by} is 1); install what is missing`);
  }
  if (leftOut.length === 0) return undefined;
  return () => {
    for (const { what } of leftOut) process.stdout.write(`left out: ${what}\n`);
  };
}

function leftOutForBroker(): string | null {
  if (findBroker() === null) return 'broker tests (mosquitto not found)';
  if (findOpenssl() === null) return 'tests of encrypted connections (openssl not found)';
  return null;
}

function leftOutForBrowser(): string | null {
  return findBrowser() === null ? 'tests of the page in a browser (chromium not found)' : null;
}
