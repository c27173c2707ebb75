import type { Logger } from 'pino';
import type { FieldReport } from '../../adapters/contract.ts';
import { addAuditEntry, DAEMON } from '../site/store/audit-log.ts';
import { type Db, withoutWaiting } from '../site/store/database.ts';
import { addFieldReports, type ComeReport } from '../site/store/field-reports.ts';

/** Written together: each write waits for the disk, and nothing else has its turn meanwhile. */
const BATCH = 200;
const MOST_RUNS = 50_000;
const MOST_RECEIPTS = 10_000;
/** After a write the rest of the daemon has at least this long. */
const PAUSE_MS = 40;
const RETRY_MS = 2_000;
/** Another process that writes is not waited for here: what waits can wait on. */
const BUSY_MS = 20;
/** At the stop nothing else wants its turn, and a store that refuses is asked no more than this. */
const LAST_TRIES = 20;
const LAST_PAUSE_MS = 100;
/** More in one write are told together. */
const TOLD_ONE_BY_ONE = 5;

/** Takes in what comes back from the field, however much of it comes at once. */
export interface ReportIntake {
  take(report: FieldReport): void;
  /** Writes what waits; at most a second or two where the store refuses it. */
  close(): Promise<void>;
}

/**
 * A single report is written at once, so that it is safe before its sender is told that it came.
 * Where many come they wait, receipts of orders ahead of all runs, and are written in batches with
 * turns for everything else in between. What the waiting room cannot hold is dropped and counted.
 */
export function reportIntake(parts: { db: Db; log: Logger; now(): number }): ReportIntake {
  const { db, log, now } = parts;
  const receipts: ComeReport[] = [];
  const runs: ComeReport[] = [];
  let dropped = 0;
  let fault: string | null = null;
  let resting = false;
  let timer: NodeJS.Timeout | null = null;
  let closed = false;

  function take(report: FieldReport): void {
    const [room, most] = report.kind === 'receipt' ? [receipts, MOST_RECEIPTS] : [runs, MOST_RUNS];
    if (room.length >= most) {
      if (dropped === 0) log.error(`${sayDropped(report.output)}; more are dropped`);
      dropped++;
      return;
    }
    room.push({ report, atMs: now() });
    if (!resting || closed) write();
  }

  /** Writes a batch and lets the rest wait; true when it was written. */
  function write(): boolean {
    const batch = [...receipts.slice(0, BATCH)];
    batch.push(...runs.slice(0, BATCH - batch.length));
    let well = true;
    try {
      withoutWaiting(db, BUSY_MS, () => addFieldReports(db, batch));
      const taken = batch.filter(({ report }) => report.kind === 'receipt').length;
      receipts.splice(0, taken);
      runs.splice(0, batch.length - taken);
      tell(batch);
      if (fault !== null) log.info('reports from the field are kept again');
      fault = null;
      tellDropped();
    } catch (error) {
      well = false;
      const words = error instanceof Error ? error.message : String(error);
      if (words !== fault) {
        log.error({ err: error }, 'reports from the field cannot be written yet; they wait');
      }
      fault = words;
    }
    rest(well ? PAUSE_MS : RETRY_MS);
    return well;
  }

  function rest(ms: number): void {
    if (timer !== null) clearTimeout(timer);
    resting = true;
    timer = setTimeout(() => {
      timer = null;
      resting = false;
      if (receipts.length + runs.length > 0 && !closed) write();
    }, ms);
    timer.unref();
  }

  function tell(batch: readonly ComeReport[]): void {
    if (batch.length <= TOLD_ONE_BY_ONE) {
      for (const { report } of batch) log.info({ report }, 'report from the field');
    } else {
      log.info({ reports: batch.length, waiting: runs.length }, 'reports from the field');
    }
  }

  function tellDropped(): void {
    if (dropped === 0 || receipts.length + runs.length > 0) return;
    const what = `${dropped} reports from the field were dropped: more came than can be written; look at what sends them`;
    withoutWaiting(db, BUSY_MS, () =>
      addAuditEntry(db, { atMs: now(), kind: 'field_fault', who: DAEMON, what }),
    );
    log.error(what);
    dropped = 0;
  }

  return {
    take,
    async close() {
      closed = true;
      if (timer !== null) clearTimeout(timer);
      timer = null;
      for (let tries = LAST_TRIES; receipts.length + runs.length > 0 && tries > 0; ) {
        if (!write()) tries--;
        await new Promise((resolve) => setTimeout(resolve, fault === null ? 0 : LAST_PAUSE_MS));
      }
      if (timer !== null) clearTimeout(timer);
      const lost = receipts.length + runs.length;
      if (lost > 0) log.error(`${lost} reports from the field could not be written and are lost`);
    },
  };
}

function sayDropped(output: string): string {
  return `${output}: reports from the field come faster than they can be written`;
}
