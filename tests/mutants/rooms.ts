/** Tests of the outputs that need a broker: what their mutants change is tested without one too. */
const WITH_A_BROKER = [
  'tests/adapters/outputs/mqtt.test.ts',
  'tests/adapters/outputs/mqtt-conformance.test.ts',
  'tests/adapters/outputs/mqtt-publish.test.ts',
  'tests/adapters/outputs/mqtt-rights.test.ts',
  'tests/adapters/outputs/mqtt-runs.test.ts',
  'tests/adapters/outputs/no-replay-store.test.ts',
];

interface Room {
  /** What is changed. */
  mutate: readonly string[];
  /** What has to notice it. */
  tests: string[];
  leftOut: string[];
}

/**
 * The rooms whose mutants have to be noticed, each by its own tests. What is left out of them runs
 * in threads and processes of its own, which end-to-end runs drive: there a test runner has no hand.
 */
export const ROOMS: Readonly<Record<string, Room>> = {
  gate: {
    mutate: ['daemon/site/gate/**/*.ts'],
    tests: ['tests/daemon/site/gate/**/*.test.ts'],
    leftOut: [],
  },
  delivery: {
    mutate: [
      'daemon/delivery/**/*.ts',
      // The body of a worker thread: it is read by a worker alone, away from the runner.
      '!daemon/delivery/output-thread.ts',
      // The same of a child process; what it does is `outside-stop-part.ts`, and looked at.
      '!daemon/delivery/outside-stop-child.ts',
    ],
    tests: ['tests/daemon/delivery/**/*.test.ts'],
    // It waits for seconds of real time; what it holds is tested with timers in the hand, too.
    leftOut: ['tests/daemon/delivery/hold-in-a-second.test.ts'],
  },
  outputs: {
    mutate: ['adapters/outputs/**/*.ts', 'adapters/broker-access.ts'],
    tests: ['tests/adapters/outputs/**/*.test.ts', 'tests/adapters/*.test.ts'],
    leftOut: WITH_A_BROKER,
  },
};
