import { join } from 'node:path';
import Database from 'libsql';
import { describe, expect, it } from 'vitest';
import { DATABASE_FILE, openDatabase } from '../../../../daemon/site/store/database.ts';
import { MIGRATIONS } from '../../../../daemon/site/store/migrations.ts';
import { scratchFolder } from '../../../scratch-site.ts';

/** Before the causes of a plan grew beyond a morning and a person. */
const OLD = MIGRATIONS.findIndex((text) => text.includes('hold_over'));

describe('the migration that gives plans more causes', () => {
  it('keeps every row, the index, the triggers and the keys that point at plans', () => {
    const folder = scratchFolder();
    const old = new Database(join(folder, DATABASE_FILE));
    old.pragma('foreign_keys = ON');
    for (const migration of MIGRATIONS.slice(0, OLD)) old.exec(migration);
    old.pragma(`user_version = ${OLD}`);
    old.exec(`
      INSERT INTO plan VALUES (1, '2026-07-01', 1, 'morning', 10, 'aa', '{}', 0);
      INSERT INTO plan VALUES (7, '2026-07-01', 2, 'person', 20, 'bb', '{}', 0);
      INSERT INTO confirmation VALUES (1, 7, 30, 'A. Keeper', '[]');
      INSERT INTO hold VALUES (1, 40, 'A. Keeper', 'leak', '"all"', NULL, 1);
      INSERT INTO plan_lifts VALUES (7, 1);
    `);
    old.close();

    const db = openDatabase(folder);
    expect(db.prepare('SELECT plan_id AS id, cause FROM plan ORDER BY plan_id').all()).toEqual([
      { id: 1, cause: 'morning' },
      { id: 7, cause: 'person' },
    ]);
    expect(db.prepare('PRAGMA foreign_key_check').all()).toEqual([]);
    db.exec("INSERT INTO plan VALUES (8, '2026-07-01', 3, 'weather', 50, 'cc', '{}', 0)");
    const refused = (sql: string, why: RegExp) => expect(() => db.exec(sql)).toThrow(why);
    refused("INSERT INTO plan VALUES (9, '2026-07-01', 4, 'whim', 1, 'd', '{}', 0)", /CHECK/);
    refused("INSERT INTO plan VALUES (9, '2026-07-01', 4, 'morning', 1, 'd', '{}', 0)", /UNIQUE/);
    refused("UPDATE plan SET digest = 'x'", /only ever added to/);
    refused('DELETE FROM plan', /only ever added to/);
    refused("INSERT INTO confirmation VALUES (2, 99, 30, 'x', '[]')", /FOREIGN KEY/);
    db.close();
  });
});
