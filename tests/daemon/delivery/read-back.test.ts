import { afterEach, describe, expect, it, vi } from 'vitest';
import type { Output } from '../../../adapters/contract.ts';
import { readBack, readBackMemory } from '../../../daemon/delivery/read-back.ts';
import { confirmPlan, holdWater } from '../../../daemon/site/gate/gate.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { openHolds } from '../../../daemon/site/store/holds-and-keep-offs.ts';
import { addAttempt, orderStates } from '../../../daemon/site/store/outbox.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_SITE, examplePlan } from '../../example-plan.ts';
import { rememberPlan } from '../../scratch-site.ts';
import { clock, nothing, scene, stopped, strange } from './read-back-rig.ts';

afterEach(() => vi.useRealTimers());

describe('readBack', () => {
  it('looks with what is wanted, and does nothing while it stands there', async () => {
    const { round, taken, looked, memory, context } = scene();
    expect(await round()).toEqual([]);
    const orderId = taken();
    expect(await round()).toEqual([]);
    expect(looked).toMatchObject([null, { kind: 'deliver', orderId }]);
    expect(memory.seen.get('file')).toEqual({
      fault: '',
      unseenSinceMs: null,
      firstAskedMs: EXAMPLE_MADE_AT_MS,
      putRightMs: [],
    });
    expect([...context.memory.lookedAt]).toEqual(['file']);
    expect([...memory.underWay]).toEqual([]);
  });

  it('asks a plan again that does not stand there, and says so in the log', async () => {
    const { round, taken, finds, later, delivered, memory, putRightLines, db } = scene();
    const orderId = taken();
    finds(nothing);
    later(1_000);
    expect(await round()).toEqual([
      {
        output: 'file',
        what: 'put_right',
        why: 'file: no order',
        answer: { kind: 'accepted', detail: 'taken' },
      },
    ]);
    expect(delivered).toEqual([orderId]);
    expect(putRightLines()).toEqual([`file: ${orderId} put right: file: no order: accepted`]);
    expect(memory.seen.get('file')).toMatchObject({ fault: 'file: no order' });
    // The same answer as before is no attempt more.
    expect(orderStates(db, orderId)[0]?.attempts).toBe(1);
    finds({ kind: 'as_wanted' });
    await round();
    expect(memory.seen.get('file')?.fault).toBe('');
  });

  it('writes down an answer that is another than before', async () => {
    const { round, taken, finds, answers, db } = scene();
    const orderId = taken();
    finds(nothing);
    answers({ kind: 'rejected', detail: 'no right' });
    await round();
    expect(orderStates(db, orderId)[0]).toMatchObject({
      attempts: 2,
      lastAnswer: 'rejected',
      lastDetail: 'no right',
      lastAttemptMs: EXAMPLE_MADE_AT_MS,
    });
  });

  it('puts a hold right with what remains', async () => {
    const { round, taken, hold, finds, withdrawn } = scene();
    taken();
    const { orderId } = hold(['bed-2']);
    finds(strange());
    expect(await round()).toMatchObject([{ what: 'put_right', why: 'file: order x' }]);
    expect(withdrawn).toMatchObject([
      { orderId, withdrawal: { beds: ['bed-2'], remaining: { heldBedIds: ['bed-2'] } } },
    ]);
  });

  it('takes away what the store knows nothing of', async () => {
    const { round, finds, withdrawn, putRightLines } = scene();
    finds(strange());
    expect(await round()).toEqual([
      {
        output: 'file',
        what: 'empty',
        why: 'file: order x',
        answer: { kind: 'accepted', detail: 'taken' },
      },
    ]);
    expect(withdrawn).toEqual([
      {
        orderId: `unknown-${EXAMPLE_MADE_AT_MS}`,
        withdrawal: {
          siteId: 'example-site',
          siteDay: '2026-07-01',
          beds: 'all',
          who: 'dewbeat',
          why: 'nothing that stands here is known to the store; a fresh plan has to be confirmed',
          atMs: EXAMPLE_MADE_AT_MS,
          remaining: null,
        },
      },
    ]);
    expect(putRightLines()).toEqual(['file: emptied: file: order x: accepted']);
  });

  it('makes a hold of a stop that went past the store, once', async () => {
    const { round, taken, finds, later, withdrawn, delivered, context, db, looked } = scene();
    taken();
    later(60_000);
    finds(stopped(EXAMPLE_MADE_AT_MS + 30_000));
    expect(await round()).toEqual([
      { output: 'file', what: 'take_stop', why: 'file: order stop', answer: null },
    ]);
    expect(openHolds(db)).toMatchObject([
      {
        who: 'B. Mower',
        why: 'leak (found at file)',
        beds: ['bed-1'],
        untilMs: null,
        atMs: EXAMPLE_MADE_AT_MS + 30_000,
      },
    ]);
    expect([...context.memory.lookedAt]).toEqual(['file']);
    expect([withdrawn, delivered]).toEqual([[], []]);
    await round();
    expect(openHolds(db)).toHaveLength(1);
    expect(withdrawn).toHaveLength(1);
    expect(looked.at(-1)).toMatchObject({ kind: 'withdraw' });
  });

  it('counts no output as looked at whose stop was not taken', async () => {
    const { round, finds, hold, context } = scene();
    finds(async () => {
      hold(['bed-3']);
      return stopped(EXAMPLE_MADE_AT_MS - 5);
    });
    expect(await round()).toEqual([]);
    expect([...context.memory.lookedAt]).toEqual([]);
  });

  it('leaves alone what is past where it does not stay', async () => {
    const { round, finds, withdrawn } = scene();
    finds(strange(0));
    expect(await round()).toEqual([]);
    expect(withdrawn).toEqual([]);
  });

  it('dates no hold into the future', async () => {
    const { round, finds, db } = scene();
    finds(stopped(EXAMPLE_MADE_AT_MS + 3_600_000));
    await round();
    expect(openHolds(db)).toMatchObject([{ atMs: EXAMPLE_MADE_AT_MS }]);
  });

  it('knows an order of another output for none of its own', async () => {
    const { db, context, finds, withdrawn } = scene();
    const [file] = context.outputs.values();
    const gate = { db, clock, site: EXAMPLE_SITE, nowMs: EXAMPLE_MADE_AT_MS };
    const hold = { who: 'B. Mower', why: 'leak', beds: 'all' as const, untilMs: null };
    const { holdId, orderId } = holdWater({ ...gate, outputs: ['file'] }, hold);
    const rest = { lastHoldId: holdId, lifts: [holdId] };
    const { digest } = rememberPlan(db, examplePlan({ revision: 1 }), rest);
    const request = { revision: 1, digest, who: 'A', cautions: CAUTIONS.map(({ code }) => code) };
    expect(confirmPlan({ ...gate, outputs: ['file', 'other'] }, request).ok).toBe(true);
    finds({ kind: 'other', detail: 'd', order: { orderId, runsAhead: 1, stop: null } });
    const at = (name: string) =>
      readBack(
        { ...context, outputs: new Map([[name, { ...file, name } as Output]]) },
        readBackMemory(),
      );
    expect(await at('file')).toEqual([]);
    expect(withdrawn).toEqual([]);
    expect(await at('other')).toMatchObject([{ what: 'empty' }]);
  });

  it('takes away what a stop of the store has displaced, whatever became of its order', async () => {
    const { round, taken, finds, db, hold, withdrawn } = scene();
    const orderId = taken();
    const { orderId: newer } = hold(['bed-1']);
    addAttempt(db, { orderId: newer, output: 'file', atMs: 1, answer: 'superseded', detail: '' });
    finds({ kind: 'other', detail: 'd', order: { orderId, runsAhead: 1, stop: null } });
    expect(await round()).toMatchObject([{ what: 'empty' }]);
    expect(withdrawn).toHaveLength(1);
  });
});
