import type { NewsKind } from '../../adapters/news.ts';
import type { Db } from './database.ts';

/** News as it is remembered: each key once. */
export interface StoredNews {
  newsId: number;
  /** What it is about: the same event has the same key, so it is told once. */
  key: string;
  atMs: number;
  kind: NewsKind;
  text: string;
  siteDay: string;
  revision: number | null;
  digest: string | null;
}

/** Remembers news; false when it was told before. Call it inside the transaction of what it tells. */
export function addNews(
  db: Db,
  news: Omit<StoredNews, 'newsId' | 'revision' | 'digest'> &
    Partial<Pick<StoredNews, 'revision' | 'digest'>>,
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
export function newsOf(db: Db, kind: NewsKind, siteDay: string): StoredNews[] {
  return db
    .prepare(
      `SELECT news_id AS newsId, key, at_ms AS atMs, kind, text, site_day AS siteDay, revision, digest
       FROM news WHERE kind = ? AND site_day = ? ORDER BY news_id`,
    )
    .all(kind, siteDay) as StoredNews[];
}

/** News of one listener that has not taken it, with the tries so far. */
export interface OpenNews extends StoredNews {
  tries: number;
  lastTryMs: number | null;
}

/** What a listener has not taken, of the news from an instant on, oldest first. */
export function openNews(db: Db, listener: string, fromMs: number): OpenNews[] {
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
      const { took: _took, ...rest } = row as OpenNews & { took: number };
      return rest;
    });
}

export function addNewsTry(
  db: Db,
  attempt: { newsId: number; listener: string; atMs: number; took: boolean; detail: string },
): void {
  db.prepare(
    'INSERT INTO news_try (news_id, listener, at_ms, took, detail) VALUES (?, ?, ?, ?, ?)',
  ).run(attempt.newsId, attempt.listener, attempt.atMs, attempt.took ? 1 : 0, attempt.detail);
}
