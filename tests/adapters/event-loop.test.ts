import { expect, it } from 'vitest';
import { yieldBetweenMessages } from '../../adapters/event-loop.ts';

it('lets everything else have its turn while messages pour in, and takes in every one', async () => {
  const client: Parameters<typeof yieldBetweenMessages>[0] = { handleMessage: (_, done) => done() };
  yieldBetweenMessages(client);
  let taken = 0;
  let turns = 0;
  let isPouring = true;
  const turn = () => {
    turns++;
    if (isPouring) setImmediate(turn);
  };
  setImmediate(turn);
  await new Promise<void>((resolve) => {
    const next = () => {
      if (taken === 200) return resolve();
      taken++;
      // What the program makes of a message takes its time.
      const untilMs = performance.now() + 1;
      while (performance.now() < untilMs);
      client.handleMessage({} as never, () => queueMicrotask(next));
    };
    next();
  });
  isPouring = false;
  expect(taken).toBe(200);
  // Two hundred milliseconds in slices of five.
  expect(turns).toBeGreaterThan(20);
});
