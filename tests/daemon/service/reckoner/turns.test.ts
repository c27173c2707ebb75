import { describe, expect, it } from 'vitest';
import type { NotReckoned } from '../../../../daemon/planning/planning-context.ts';
import { turnQueue } from '../../../../daemon/service/reckoner/turns.ts';

/** Works that end when the test says so, in the order in which they began. */
function works() {
  const began: string[] = [];
  const ends = new Map<string, () => void>();
  const outcomes: string[] = [];
  return {
    began,
    outcomes,
    end: async (name: string) => {
      ends.get(name)?.();
      // The queue goes on in microtasks.
      await new Promise((resolve) => setImmediate(resolve));
    },
    take(turns: ReturnType<typeof turnQueue>, name: string, rank: number, asker?: string): void {
      const key = asker === undefined ? null : asker;
      turns
        .take({ rank, key }, () => {
          began.push(name);
          return new Promise<string>((resolve) => ends.set(name, () => resolve(name)));
        })
        .then(
          (value) => outcomes.push(value),
          (error: unknown) => outcomes.push(`${name} ${(error as NotReckoned).code}`),
        );
    },
  };
}

describe('turns', () => {
  it('run one at a time, by rank and then as they came', async () => {
    const turns = turnQueue();
    const { take, began, end } = works();
    take(turns, 'thought 1', 2, 'a');
    take(turns, 'thought 2', 2, 'b');
    take(turns, 'plan 1', 1);
    take(turns, 'look', 0);
    take(turns, 'plan 2', 1);
    expect(began).toEqual(['thought 1']);
    for (const name of ['thought 1', 'look', 'plan 1', 'plan 2', 'thought 2']) await end(name);
    expect(began).toEqual(['thought 1', 'look', 'plan 1', 'plan 2', 'thought 2']);
    expect(turns.isIdle()).toBe(true);
  });

  it('let one thought of an asker wait: a newer one takes its place and its turn', async () => {
    const turns = turnQueue();
    const { take, began, outcomes, end } = works();
    take(turns, 'a1', 2, 'a');
    take(turns, 'a2', 2, 'a');
    take(turns, 'b1', 2, 'b');
    take(turns, 'a3', 2, 'a');
    take(turns, 'a4', 2, 'a');
    await end('a1');
    await end('a4');
    await end('b1');
    expect(began).toEqual(['a1', 'a4', 'b1']);
    expect(outcomes).toEqual(['a2 newer_asked', 'a3 newer_asked', 'a1', 'a4', 'b1']);
  });

  it('refuse thoughts beyond their bound, and what somebody has done beyond a higher one', async () => {
    const turns = turnQueue({ thoughts: 2, all: 3 });
    const { take, outcomes } = works();
    for (const asker of ['a', 'b', 'c', 'd']) take(turns, asker, 2, asker);
    take(turns, 'plan 1', 1);
    take(turns, 'plan 2', 1);
    await new Promise((resolve) => setImmediate(resolve));
    expect(outcomes).toEqual(['d too_busy', 'plan 2 too_busy']);
  });

  it('go on after a work that fails', async () => {
    const turns = turnQueue();
    const failed = turns.take({ rank: 1, key: null }, () => Promise.reject(new Error('invented')));
    const next = turns.take({ rank: 1, key: null }, async () => 'next');
    await expect(failed).rejects.toThrow('invented');
    expect(await next).toBe('next');
  });

  it('refuse what waits and what comes once they are stopped', async () => {
    const turns = turnQueue();
    const { take, outcomes, end } = works();
    take(turns, 'plan 1', 1);
    take(turns, 'plan 2', 1);
    turns.stop();
    take(turns, 'plan 3', 1);
    await end('plan 1');
    expect(outcomes).toEqual(['plan 2 stopping', 'plan 3 stopping', 'plan 1']);
  });
});
