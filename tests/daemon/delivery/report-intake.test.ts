import Database from 'libsql';
import pino from 'pino';
import { describe, expect, it, onTestFinished } from 'vitest';
import type { FieldReport } from '../../../adapters/contract.ts';
import { reportIntake } from '../../../daemon/delivery/report-intake.ts';
import { lastAuditEntries } from '../../../daemon/site/store/audit-log.ts';
import { DATABASE_FILE, openDatabase } from '../../../daemon/site/store/database.ts';
import { fieldReportsSince } from '../../../daemon/site/store/field-reports.ts';
import { scratchFolder } from '../../scratch-site.ts';

const ran = (nth: number): FieldReport => ({
  kind: 'ran',
  output: 'mqtt',
  stationId: `s-${nth}`,
  startMs: 60_000,
  runS: 240,
  flowLPerMin: null,
  atMs: 400_000,
});
const receipt: FieldReport = {
  kind: 'receipt',
  output: 'mqtt',
  orderId: 'o-1',
  answer: 'accepted',
  detail: 'all boxes',
  atMs: 400_000,
};

function rig() {
  const folder = scratchFolder();
  const db = openDatabase(folder);
  onTestFinished(() => void db.close());
  const logged: string[] = [];
  const log = pino({}, { write: (line: string) => void logged.push(JSON.parse(line).msg) });
  const intake = reportIntake({ db, log, now: () => 500_000 });
  const written = () => fieldReportsSince(db, 0);
  return { folder, db, intake, logged, written };
}

const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

describe('reports from the field', () => {
  it('are written before their sender is answered where they come one by one', async () => {
    const { intake, written, logged } = rig();
    intake.take(ran(1));
    expect(written()).toHaveLength(1);
    await pause(40);
    intake.take(receipt);
    expect(written()).toHaveLength(2);
    expect(logged).toEqual(['report from the field', 'report from the field']);
    await intake.close();
  });

  it('are taken in whole when 30,000 come at once, with turns for the rest of the daemon', async () => {
    const { intake, written } = rig();
    for (let nth = 0; nth < 30_000; nth++) intake.take(ran(nth));
    expect(written()).toHaveLength(1);
    // A receipt that comes last is written first.
    intake.take(receipt);
    // Counted and not timed: however busy the machine is, a turn writes no more than one batch.
    const growths: number[] = [];
    const untilMs = performance.now() + 50_000;
    for (let count = 1; count < 30_001 && performance.now() < untilMs; ) {
      await pause(1);
      const now = written().length;
      growths.push(now - count);
      count = now;
    }
    expect(written()).toHaveLength(30_001);
    expect(written()[1]).toEqual(receipt);
    expect(Math.max(...growths)).toBe(200);
    await intake.close();
  });

  it('are dropped and counted beyond what can wait, told once in the log and once in the store', async () => {
    const { intake, written, db, logged } = rig();
    for (let nth = 0; nth < 50_011; nth++) intake.take(ran(nth));
    expect(logged.filter((line) => line.includes('more are dropped'))).toHaveLength(1);
    await intake.close();
    expect(written()).toHaveLength(50_001);
    const what =
      '10 reports from the field were dropped: more came than can be written; look at what sends them';
    expect(lastAuditEntries(db, 1)).toMatchObject([{ kind: 'field_fault', what }]);
  });

  it('are all written at an orderly stop', async () => {
    const { intake, written } = rig();
    for (let nth = 0; nth < 2_000; nth++) intake.take(ran(nth));
    await intake.close();
    expect(written()).toHaveLength(2_000);
  });

  it('wait while another process writes, hold nothing up, and are written afterwards', async () => {
    const { intake, written, folder, db, logged } = rig();
    const other = new Database(`${folder}/${DATABASE_FILE}`);
    other.exec('BEGIN IMMEDIATE');
    const beganMs = performance.now();
    for (let nth = 0; nth < 100; nth++) intake.take(ran(nth));
    expect(performance.now() - beganMs).toBeLessThan(1_000);
    expect(logged.filter((line) => line.includes('they wait'))).toHaveLength(1);
    other.exec('ROLLBACK');
    other.close();
    await intake.close();
    expect(written()).toHaveLength(100);
    // The store's own patience is as it was.
    expect(db.pragma('busy_timeout')).toEqual([{ timeout: 5000 }]);
  });
});
