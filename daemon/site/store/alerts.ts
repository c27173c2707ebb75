import type { AlertKind } from '../../../adapters/contract.ts';
import type { Db } from './database.ts';

/** News as it is remembered: each key once. */
export interface StoredAlert {
  newsId: number;
  /** What it is about: the same event has the same key, so it is told once. */
  key: string;
  atMs: number;
  kind: AlertKind;
  text: string;
  siteDay: string;
  revision: number | null;
  digest: string | null;
}

/** Remembers news; false when it was told before. Call it inside the transaction of what it tells. */
export function addAlert(
  db: Db,
  news: Omit<StoredAlert, 'newsId' | 'revision' | 'digest'> &
    Partial<Pick<StoredAlert, 'revision' | 'digest'>>,
): boolean {
  const { changes } = db
    .prepare(
      `INSERT OR IGNORE INTO news (key, at_ms, kind, text, site_day, revision, digest)
       VALUES (?, ?, ?, ?, ?, ?, ?)`,
    )
    .run(
      news.key,
      news.atMs,
      news.kind,
      news.text,
      news.siteDay,
      news.revision ?? null,
      news.digest ?? null,
    );
  return changes > 0;
}

/** Whether this was told before. */
export function isTold(db: Db, key: string): boolean {
  return db.prepare('SELECT 1 FROM news WHERE key = ?').get(key) !== undefined;
}

/** The keys of what was told that begin so. */
export function toldKeys(db: Db, begin: string): string[] {
  const rows = db
    .prepare('SELECT key FROM news WHERE substr(key, 1, ?) = ?')
    .all(begin.length, begin) as { key: string }[];
  return rows.map(({ key }) => key);
}

/** News of one kind and site day, oldest first. */
export function alertsOf(db: Db, kind: AlertKind, siteDay: string): StoredAlert[] {
  return db
    .prepare(
      `SELECT news_id AS newsId, key, at_ms AS atMs, kind, text, site_day AS siteDay, revision, digest
       FROM news WHERE kind = ? AND site_day = ? ORDER BY news_id`,
    )
    .all(kind, siteDay) as StoredAlert[];
}

/** News of one listener that has not taken it, with the tries so far. */
export interface OpenAlert extends StoredAlert {
  tries: number;
  lastTryMs: number | null;
}

/** What a listener has not taken, of the news from an instant on, oldest first. */
export function openAlerts(db: Db, listener: string, fromMs: number): OpenAlert[] {
  return db
    .prepare(
      `SELECT * FROM (
         SELECT n.news_id AS newsId, n.key, n.at_ms AS atMs, n.kind, n.text, n.site_day AS siteDay,
           n.revision, n.digest, count(t.news_try_id) AS tries, max(t.at_ms) AS lastTryMs,
           coalesce(max(t.took), 0) AS took
         FROM news n LEFT JOIN news_try t ON t.news_id = n.news_id AND t.listener = ?
         WHERE n.at_ms >= ? GROUP BY n.news_id)
       WHERE took = 0 ORDER BY newsId`,
    )
    .all(listener, fromMs)
    .map((row) => {
      const { took: _took, ...rest } = row as OpenAlert & { took: number };
      return rest;
    });
}

export function addAlertTry(
  db: Db,
  attempt: { newsId: number; listener: string; atMs: number; took: boolean; detail: string },
): void {
  db.prepare(
    'INSERT INTO news_try (news_id, listener, at_ms, took, detail) VALUES (?, ?, ?, ?, ?)',
  ).run(attempt.newsId, attempt.listener, attempt.atMs, attempt.took ? 1 : 0, attempt.detail);
}

const FIRST_WAIT_MS = 5_000;
export const MOST_ALERT_TRIES = 5;
/** Older news is none any more. */
export const ALERT_VALID_MS = 3_600_000;

/**
 * The news that a listener is to hear now, or null: the oldest that is still news, has tries left,
 * and whose wait of 5, 10, 20, 40 s is over. One at a time, so that a listener that is away costs
 * little. Pure.
 */
export function nextAlert(open: readonly OpenAlert[], nowMs: number): OpenAlert | null {
  return (
    open.find(({ atMs, tries, lastTryMs }) => {
      if (tries >= MOST_ALERT_TRIES || Math.abs(nowMs - atMs) > ALERT_VALID_MS) return false;
      if (lastTryMs === null) return true;
      const waitedMs = nowMs - lastTryMs;
      // A clock that was stepped back must not stretch the wait.
      return waitedMs < 0 || waitedMs >= FIRST_WAIT_MS * 2 ** (tries - 1);
    }) ?? null
  );
}
