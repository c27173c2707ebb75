import { describe, expect, it } from 'vitest';
import type { Answer, FieldReport } from '../../../../adapters/contract.ts';
import { lastAuditEntries } from '../../../../daemon/site/store/audit-log.ts';
import {
  addFieldReport,
  fieldReportsSince,
  receiptsOf,
} from '../../../../daemon/site/store/field-reports.ts';
import {
  addAttempt,
  addToOutbox,
  openOrders,
  orderStates,
} from '../../../../daemon/site/store/outbox.ts';
import { scratchDatabase } from '../../../scratch-site.ts';

const ran = (change: object = {}): FieldReport => ({
  kind: 'ran',
  output: 'file',
  stationId: 's-1a',
  startMs: 60_000,
  runS: 240,
  flowLPerMin: null,
  atMs: 400_000,
  ...change,
});
const receipt = (answer: Answer['kind'], detail = '', output = 'mqtt'): FieldReport => ({
  kind: 'receipt',
  output,
  orderId: 'o-1',
  answer,
  detail,
  atMs: 5_000,
});

describe('what ran', () => {
  it('is taken once, however often it is told', () => {
    const db = scratchDatabase();
    addFieldReport(db, ran(), 1_000);
    addFieldReport(db, ran({ atMs: 900_000 }), 2_000);
    expect(fieldReportsSince(db, 0)).toEqual([ran()]);
    expect(lastAuditEntries(db, 10)).toMatchObject([
      { kind: 'field', what: 'file: station s-1a ran 240 s' },
    ]);
  });

  it.each([
    ['output', { output: 'mqtt' }],
    ['station', { stationId: 's-1b' }],
    ['start', { startMs: 61_000 }],
    ['length', { runS: 239 }],
    ['flow', { flowLPerMin: 0 }],
  ])('is another run with another %s', (_, change) => {
    const db = scratchDatabase();
    addFieldReport(db, ran(), 1_000);
    addFieldReport(db, ran(change), 1_000);
    expect(fieldReportsSince(db, 0)).toHaveLength(2);
  });
});

function ordered(answers: Answer['kind'][], kind: 'deliver' | 'withdraw' = 'deliver') {
  const db = scratchDatabase();
  const order = { orderId: 'o-1', output: 'mqtt' };
  const rest = { confirmationId: null, holdId: null, atMs: 0, validUntilMs: 9e9 };
  addToOutbox(db, { ...order, ...rest, kind });
  for (const answer of answers) addAttempt(db, { ...order, atMs: 1_000, answer, detail: 'medium' });
  return db;
}
const lastAnswer = (db: ReturnType<typeof scratchDatabase>) =>
  orderStates(db, 'o-1')[0]?.lastAnswer;

describe('a receipt', () => {
  it('is kept beside what the medium said', () => {
    const db = ordered(['accepted']);
    addFieldReport(db, receipt('accepted', 'all boxes'), 5_000);
    expect(orderStates(db, 'o-1')[0]).toMatchObject({ lastAnswer: 'accepted', attempts: 1 });
    expect(receiptsOf(db, 'o-1')).toEqual([
      { output: 'mqtt', answer: 'accepted', detail: 'all boxes', atMs: 5_000 },
    ]);
    expect(lastAuditEntries(db, 1)).toMatchObject([
      { kind: 'field', what: 'mqtt: receipt for o-1: accepted by the receiver, all boxes' },
    ]);
  });

  it('that refuses, however late, turns what the medium had taken into a refusal', () => {
    const db = ordered(['accepted']);
    addFieldReport(db, receipt('rejected', 'box 3 is off'), 5_000);
    expect(orderStates(db, 'o-1')[0]).toMatchObject({
      lastAnswer: 'rejected',
      lastDetail: 'the receiver refused it (got box 3 is off)',
    });
    expect(lastAuditEntries(db, 1)).toMatchObject([{ kind: 'send_failed' }]);
  });

  it('ends no repeats: neither of a delivery nor of a hold', () => {
    for (const kind of ['deliver', 'withdraw'] as const) {
      for (const answer of ['accepted', 'rejected', 'unknown'] as const) {
        const db = ordered(['unknown'], kind);
        addFieldReport(db, receipt(answer), 5_000);
        expect(lastAnswer(db)).toBe('unknown');
        expect(openOrders(db)).toHaveLength(1);
      }
    }
  });

  it('never makes an order stand that was refused or is unknown to the receiver', () => {
    const refused = ordered(['rejected']);
    addFieldReport(refused, receipt('accepted'), 5_000);
    expect(lastAnswer(refused)).toBe('rejected');
    const taken = ordered(['accepted']);
    addFieldReport(taken, receipt('unknown'), 5_000);
    expect(lastAnswer(taken)).toBe('accepted');
  });

  it('counts for its own output only, and is told when nothing was sent there', () => {
    const db = ordered(['accepted']);
    addFieldReport(db, receipt('rejected', 'why', 'other'), 5_000);
    expect(lastAnswer(db)).toBe('accepted');
    expect(lastAuditEntries(db, 1)[0]?.what).toBe(
      'other: receipt for o-1, which was never sent there: rejected by the receiver, why',
    );
  });

  it('gives the last word of each receiver', () => {
    const db = ordered(['accepted']);
    addFieldReport(db, receipt('unknown', 'asking'), 5_000);
    addFieldReport(db, receipt('accepted', 'done'), 6_000);
    expect(receiptsOf(db, 'o-1').map(({ detail }) => detail)).toEqual(['done']);
  });
});
