import { describe, expect, it } from 'vitest';
import { findBroker } from '../broker.ts';
import { inflow } from './inflow.ts';

describe.skipIf(findBroker() === null)('a share of what comes in in masses', () => {
  it('a minute export of 21 MB and 3,000 messages of a kind neither end nor hold up the daemon', async () => {
    // The ceiling of the long run is for a machine of its own; this one shares its cores with tests.
    const asked = { exportMb: 21, messages: 3_000, watchedS: 1, ceilingMs: 15_000 };
    const { lines } = await inflow(asked);
    expect(lines.join('\n')).toContain('broken: 0');
  }, 180_000);
});
