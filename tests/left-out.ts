import { findBroker, findOpenssl } from './broker.ts';

/**
 * Tests that need a broker are left out where there is none. A green run must not hide that, so
 * the last line says it; `DEWBEAT_REQUIRE_BROKER=1` makes it a failure.
 */
export function setup(): (() => void) | undefined {
  const { DEWBEAT_REQUIRE_BROKER: required } = process.env;
  const leftOut = leftOutTests();
  if (leftOut === null) return undefined;
  if (required === '1') {
    throw new Error(`tests: ${leftOut} (DEWBEAT_REQUIRE_BROKER is 1); install what is missing`);
  }
  return () => void process.stdout.write(`left out: ${leftOut}\n`);
}

function leftOutTests(): string | null {
  if (findBroker() === null) return 'broker tests (mosquitto not found)';
  if (findOpenssl() === null) return 'tests of encrypted connections (openssl not found)';
  return null;
}
