import { findBroker } from './broker.ts';

/**
 * Tests that need a broker are left out where there is none. A green run must not hide that, so
 * the last line says it; `DEWBEAT_REQUIRE_BROKER=1` makes it a failure.
 */
export function setup(): (() => void) | undefined {
  if (findBroker() !== null) return undefined;
  const { DEWBEAT_REQUIRE_BROKER: required } = process.env;
  if (required === '1') {
    throw new Error(
      'broker tests: mosquitto not found (DEWBEAT_REQUIRE_BROKER is 1); install mosquitto',
    );
  }
  return () => {
    process.stdout.write('left out: broker tests (mosquitto not found); install it to run them\n');
  };
}
