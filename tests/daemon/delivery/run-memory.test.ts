import { describe, expect, it } from 'vitest';
import { NO_RUNS, runMemory } from '../../../daemon/delivery/open-outputs.ts';
import { confirmPlan, holdWater } from '../../../daemon/site/gate/gate.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { lastAuditEntries } from '../../../daemon/site/store/audit-log.ts';
import { runEvents } from '../../../daemon/site/store/field-reports.ts';
import { addAttempt, addPlaces } from '../../../daemon/site/store/outbox.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_SITE, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../scratch-site.ts';

function scene(db = scratchDatabase()) {
  const stored = rememberPlan(db, examplePlan({ revision: 1, firstRunMs: EXAMPLE_MADE_AT_MS }));
  let nowMs = EXAMPLE_MADE_AT_MS;
  const gate = {
    db,
    clock: siteClock(EXAMPLE_ZONE),
    site: EXAMPLE_SITE,
    outputs: ['valves', 'file'],
    nowMs,
  };
  const result = confirmPlan(gate, {
    revision: 1,
    digest: stored.digest,
    who: 'A. Keeper',
    cautions: CAUTIONS.map((caution) => caution.code),
  });
  return {
    db,
    gate,
    orderId: result.ok ? result.orderId : '',
    memory: runMemory({ db, output: 'valves', now: () => nowMs }),
    take: (orderId: string, output = 'valves') =>
      addAttempt(db, { orderId, output, atMs: nowMs, answer: 'accepted', detail: 'taken' }),
    setNow: (ms: number) => {
      nowMs = ms;
    },
  };
}
const claimed = { runId: 's-1a@06:15', orderId: 'o-1', what: 'claimed', detail: '' } as const;

describe('runMemory', () => {
  it('lets a plan stand once its own output has taken it, until its day is over', () => {
    const { memory, orderId, take, setNow } = scene();
    expect(memory.standing()).toBeNull();
    take(orderId, 'file');
    expect(memory.standing()).toBeNull();
    take(orderId);
    expect(memory.standing()).toMatchObject({ orderId, confirmed: { plan: { revision: 1 } } });
    setNow(EXAMPLE_MADE_AT_MS + 19 * 3_600_000);
    expect(memory.standing()).toBeNull();
  });

  it('lets nothing stand where it has been moved since the confirm', () => {
    const db = scratchDatabase();
    const writesTo = (place: string) =>
      addPlaces(db, [{ output: 'valves', place, config: '{}' }], EXAMPLE_MADE_AT_MS);
    writesTo('an invented broker');
    const { memory, gate, orderId, take } = scene(db);
    take(orderId);
    expect(memory.standing()).toMatchObject({ orderId });
    writesTo('another invented broker');
    expect(memory.standing()).toBeNull();
    const hold = { who: 'B. Mower', why: 'roll', untilMs: null };
    take(holdWater(gate, { ...hold, beds: ['bed-2'] }).orderId);
    expect(memory.standing()).toBeNull();
  });

  it('lets nothing stand from the moment of a hold, and what remains once that was taken', () => {
    const { memory, gate, orderId, take } = scene();
    take(orderId);
    const hold = { who: 'B. Mower', why: 'roll', untilMs: null };
    const some = holdWater(gate, { ...hold, beds: ['bed-2'] });
    expect(memory.standing()).toBeNull();
    take(some.orderId);
    expect(memory.standing()).toMatchObject({
      orderId: some.orderId,
      confirmed: { heldBedIds: ['bed-2'] },
    });
    take(holdWater(gate, { ...hold, beds: 'all' }).orderId);
    expect(memory.standing()).toBeNull();
  });

  it('closes a run once for each output, also for a life that comes after', () => {
    const { db, memory } = scene();
    expect(memory.has(claimed.runId)).toBe(false);
    memory.add(claimed);
    const later = runMemory({ db, output: 'valves', now: () => 0 });
    expect(later.has(claimed.runId)).toBe(true);
    expect(() => later.add(claimed)).toThrow('UNIQUE');
    expect(() => later.add({ ...claimed, what: 'missed' })).toThrow('UNIQUE');
    expect(runMemory({ db, output: 'other', now: () => 0 }).has(claimed.runId)).toBe(false);
  });

  it('puts what did not go well into the log, and only that', () => {
    const { db, memory } = scene();
    const before = lastAuditEntries(db, 100).length;
    memory.add(claimed);
    memory.add({ ...claimed, what: 'accepted', detail: 'the broker has it' });
    expect(lastAuditEntries(db, 100)).toHaveLength(before);
    memory.add({ ...claimed, runId: 's-2a@06:30', what: 'missed', detail: '21 s late' });
    expect(lastAuditEntries(db, 100).at(-1)).toMatchObject({
      kind: 'send_failed',
      what: 'run s-2a@06:30 of o-1 to valves: missed, 21 s late',
    });
    expect(runEvents(db, 'valves').map(({ what }) => what)).toEqual([
      'claimed',
      'accepted',
      'missed',
    ]);
  });

  it('knows a memory in which nothing runs', () => {
    expect(NO_RUNS.standing()).toBeNull();
    expect(NO_RUNS.has('any')).toBe(true);
    expect(() => NO_RUNS.add(claimed)).toThrow('start the daemon');
  });
});
