import type { Db } from './database.ts';

/** What a step of the log can be about. */
export const AUDIT_KINDS = [
  'plan_made',
  'plan_failed',
  'confirmed',
  'confirm_refused',
  'held',
  'hold_lifted',
  'leeway_given',
  'leeway_used',
  'keep_off_put',
  'keep_off_ended',
  'stage_moved',
  'day_called',
  'trimmed',
  'wind_answered',
  'rotation_asked',
  'hand_watered',
  'looked',
  'look_undone',
  'meter_read',
  'fed',
  'corrected',
  'sent',
  'send_failed',
  'put_right',
  'place_left',
  'field',
  'field_fault',
  'hold_reminder',
  'away',
  'news_failed',
  'config_written',
  'started',
  'reloaded',
  'reload_refused',
  'stopped',
] as const;

export type AuditKind = (typeof AUDIT_KINDS)[number];

/** One line of the log: who did what, when, to which plan, and why. */
export interface AuditEntry {
  stepId: number;
  atMs: number;
  kind: AuditKind;
  who: string;
  siteDay: string | null;
  revision: number | null;
  digest: string | null;
  what: string;
}

/** The daemon's name in the log, where no person acted. */
export const DAEMON = 'dewbeat';

/** Adds a line to the log; call it inside the transaction of what it tells about. */
export function addAuditEntry(
  db: Db,
  step: Pick<AuditEntry, 'atMs' | 'kind' | 'who' | 'what'> & Partial<AuditEntry>,
): void {
  db.prepare(
    `INSERT INTO step (at_ms, kind, who, site_day, revision, digest, what)
     VALUES (?, ?, ?, ?, ?, ?, ?)`,
  ).run(
    step.atMs,
    step.kind,
    step.who,
    step.siteDay ?? null,
    step.revision ?? null,
    step.digest ?? null,
    step.what,
  );
}

/** The log's last lines, oldest first. */
export function lastAuditEntries(db: Db, most: number): AuditEntry[] {
  const rows = db
    .prepare(
      `SELECT step_id AS stepId, at_ms AS atMs, kind, who, site_day AS siteDay, revision, digest, what
       FROM step ORDER BY step_id DESC LIMIT ?`,
    )
    .all(most) as AuditEntry[];
  return rows.reverse();
}

/** The lines from an instant up to another, oldest first. */
export function auditEntriesBetween(db: Db, fromMs: number, toMs: number): AuditEntry[] {
  return db
    .prepare(
      `SELECT step_id AS stepId, at_ms AS atMs, kind, who, site_day AS siteDay, revision, digest, what
       FROM step WHERE at_ms >= ? AND at_ms < ? ORDER BY step_id`,
    )
    .all(fromMs, toMs) as AuditEntry[];
}

/** The newest line of one kind, or null. */
export function newestAuditEntryOf(db: Db, kind: AuditKind): AuditEntry | null {
  const row = db
    .prepare(
      `SELECT step_id AS stepId, at_ms AS atMs, kind, who, site_day AS siteDay, revision, digest, what
       FROM step WHERE kind = ? ORDER BY step_id DESC LIMIT 1`,
    )
    .get(kind) as AuditEntry | undefined;
  return row ?? null;
}
