import { spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { DATABASE_FILE } from '../../../daemon/site/store/database.ts';
import { findBroker, startBroker } from '../../broker.ts';
import { ask, command, pause, until } from '../real-daemon.ts';
import {
  type Adversary,
  fact,
  judged,
  judgedWell,
  type Tried,
  together,
  withRig,
} from './adversary.ts';
import { folderWatched, stopRig } from './rig.ts';

const wrongConfig: Adversary = {
  name: 'a wrong unit, no config here, secrets not in this shell',
  async try() {
    const wrong = await withRig({}, async (rig) => {
      const file = join(rig.folder, 'dewbeat.yaml');
      const good = readFileSync(file, 'utf8');
      writeFileSync(file, good.replace('500 L/min', '500 furlongs'));
      const unit = judgedWell('one wrong unit, command', await rig.stopByCommand());
      writeFileSync(file, good);
      await rig.confirmFresh();
      renameSync(file, `${file}.away`);
      const gone = judgedWell('config gone, command', await rig.stopByCommand());
      const empty = mkdtempSync(join(tmpdir(), 'dewbeat-empty-'));
      const none = await command(empty, ['hold']);
      rmSync(empty, { recursive: true, force: true });
      renameSync(`${file}.away`, file);
      const isToldSo = none.code === 2 && none.said.includes('NOTHING WAS STOPPED');
      return together(unit, gone, fact('no site here: exit 2, nothing stopped, said so', isToldSo));
    });
    if (findBroker() === null) return wrong;
    const person = { name: 'keeper', password: 'spruce-and-fir' };
    const broker = await startBroker({ person });
    const outputs = [
      '{ output: file, folder: out }',
      `{ output: mqtt, url: "${broker.url}", username_env: DEWBEAT_NAME, password_env: DEWBEAT_WORD }`,
    ];
    try {
      const secrets = await withRig(
        { outputs },
        async (rig) => {
          const through = judgedWell('secrets elsewhere, command', await rig.stopByCommand());
          rig.daemon().kill('SIGSTOP');
          const past = await rig.stopByCommand();
          rig.daemon().kill('SIGCONT');
          const tried = judged('secrets elsewhere and the daemon frozen, command', past);
          if (past.isToldWell || !/mqtt: NOT STOPPED/.test(past.said)) {
            tried.broken.push(`secrets elsewhere: the person was told ${past.said}`);
          }
          return together(through, tried);
        },
        { env: { DEWBEAT_NAME: person.name, DEWBEAT_WORD: person.password } },
      );
      return together(wrong, secrets);
    } finally {
      await broker.stop();
    }
  },
};

const foreignStore: Adversary = {
  name: 'a second config on the same data folder; a copied one; its lock held by somebody else',
  try: () =>
    withRig({}, async (rig) => {
      const text = readFileSync(join(rig.folder, 'dewbeat.yaml'), 'utf8');
      const other = text
        .replace('id: fen-edge', 'id: other-edge')
        .replace('folder: out', 'folder: out2');
      writeFileSync(join(rig.folder, 'other.yaml'), other);
      const plan = await command(rig.folder, ['plan', '-c', 'other.yaml', '--who', 'X']);
      const isRefused = plan.code === 1 && plan.said.includes('fen-edge');
      const copy = mkdtempSync(join(tmpdir(), 'dewbeat-copy-'));
      cpSync(rig.config.dataFolder, join(copy, 'dewbeat-data'), {
        recursive: true,
        filter: (path) => !path.endsWith('.sock'),
      });
      writeFileSync(join(copy, 'dewbeat.yaml'), text.replace(/port: \d+/, 'port: 0'));
      await command(copy, ['plan', '--who', 'Person 1 (invented)']);
      const copied = await command(copy, ['status']);
      rmSync(copy, { recursive: true, force: true });
      const lock = join(rig.config.dataFolder, 'instance.lock');
      const stranger = spawnSync('setpriv', ['--reuid=65534', '--clear-groups', 'cat', lock]);
      const stopped = judgedWell('the right config, command', await rig.stopByCommand());
      return together(
        fact(
          'another site on this data folder is refused by name',
          isRefused,
          plan.said.split('\n')[0] ?? '',
        ),
        fact('a copy is on hold until a fresh plan', copied.said.includes('hold_open')),
        fact("the lock is nobody else's to open", stranger.status !== 0),
        stopped,
      );
    }),
};

const lockedStore: Adversary = {
  name: 'another process holds the database for a minute',
  try: () =>
    withRig({}, async (rig) => {
      const db = new Database(join(rig.config.dataFolder, DATABASE_FILE));
      db.exec('BEGIN IMMEDIATE');
      try {
        const page = judged('database held, page', await rig.stopAtPage());
        const startMs = performance.now();
        const { status } = await ask(rig.port, '/health');
        const healthMs = Math.round(performance.now() - startMs);
        const isNamed = await until(
          async () => (await ask(rig.port, '/ready')).text.includes('database_fault'),
          45_000,
        );
        db.exec('ROLLBACK');
        const isReady = await until(
          async () => (await ask(rig.port, '/ready')).status === 200,
          45_000,
        );
        await rig.confirmFresh();
        db.exec('BEGIN IMMEDIATE');
        const line = judged('database held, command', await rig.stopByCommand());
        return together(
          page,
          line,
          fact('/health meanwhile', status === 200 && healthMs < 1_000, `${healthMs} ms`),
          fact('/ready names it', isNamed),
          fact('ready again', isReady),
        );
      } finally {
        db.close();
      }
    }),
};

const changedSite: Adversary = {
  name: 'stations swapped, rates changed, beds or stations gone, then a confirm',
  async try() {
    const changes: readonly [string, (text: string) => string][] = [
      ['rate x 4', (text) => text.replace('stated: 18 mm/h', 'stated: 72 mm/h')],
      [
        'stations swapped',
        (text) =>
          text
            .replace('id: s1, bed: g1', 'id: s1, bed: g0')
            .replace('id: s2, bed: g2', 'id: s2, bed: g1')
            .replace('bed: g0', 'bed: g2'),
      ],
      ['station gone', (text) => text.replace('id: s2,', 'id: s3,')],
      ['bed gone', (text) => text.replace(/^.*(?:id: g2|bed: g2),.*\n/gm, '')],
      ['zone changed', (text) => text.replace(/zone: \S+ \}/, nextZone)],
    ];
    const tried: Tried[] = [];
    for (const [what, change] of changes) {
      const rig = await stopRig();
      try {
        const made = await command(rig.folder, ['plan', '--who', 'Person 1 (invented)']);
        const [, revision, digest] =
          /--revision (\d+) --digest ([0-9a-f]{8})/.exec(made.said) ?? [];
        const file = join(rig.folder, 'dewbeat.yaml');
        writeFileSync(file, change(readFileSync(file, 'utf8')));
        const args = ['--revision', revision ?? '', '--digest', digest ?? '', '--who', 'Person 1'];
        const cautions = [
          '--caution',
          'turf_clear',
          'no_injector_armed',
          'covers_off',
          'weather_stands_in',
        ];
        const said = await command(rig.folder, ['confirm', ...args, ...cautions]);
        const isRefused = said.code === 1 && said.said.includes('not confirmed');
        tried.push(
          fact(`${what}: the confirm is refused`, isRefused, said.said.split('\n')[0] ?? ''),
        );
      } finally {
        await rig.end();
      }
    }
    return together(...tried);
  },
};

/** The zone an hour further, as it is written. */
function nextZone(zone: string): string {
  const [, sign = '-', hours = '0'] = /GMT([+-])(\d+)/.exec(zone) ?? [];
  const eastH = (sign === '-' ? 1 : -1) * Number(hours) + 1;
  const name = eastH === 0 ? 'Etc/GMT' : `Etc/GMT${eastH > 0 ? '-' : '+'}${Math.abs(eastH)}`;
  return `zone: ${name} }`;
}

const alteredRows: Adversary = {
  name: 'a row edited in the store, one inserted',
  async try() {
    const edited = await withRig({}, async (rig) => {
      const db = new Database(join(rig.config.dataFolder, DATABASE_FILE));
      db.pragma('busy_timeout = 5000');
      db.exec('DROP TRIGGER plan_no_update');
      const row = db
        .prepare('SELECT plan_id AS id, plan FROM plan ORDER BY plan_id DESC LIMIT 1')
        .get() as {
        id: number;
        plan: string;
      };
      const plan = JSON.parse(row.plan) as { runs: { runS: number }[] };
      for (const one of plan.runs) one.runS *= 10;
      db.prepare('UPDATE plan SET plan = ? WHERE plan_id = ?').run(JSON.stringify(plan), row.id);
      db.close();
      const file = join(rig.folder, 'out', 'plan.json');
      rmSync(file);
      await pause(6_000);
      let longest = 0;
      try {
        const order = JSON.parse(readFileSync(file, 'utf8')) as { runs: { run_s: number }[] };
        longest = Math.max(0, ...order.runs.map(({ run_s }) => run_s));
      } catch {
        longest = 0;
      }
      const planned = Math.max(...plan.runs.map(({ runS }) => runS)) / 10;
      return fact('nothing of an altered plan is delivered', longest <= planned, `${longest} s`);
    });
    const inserted = await withRig({}, async (rig) => {
      await rig.stopAtPage();
      await command(rig.folder, ['plan', '--lift', '--who', 'Person 1 (invented)']);
      const db = new Database(join(rig.config.dataFolder, DATABASE_FILE));
      db.pragma('busy_timeout = 5000');
      const nowMs = Date.now();
      const cautions = JSON.stringify(['turf_clear', 'no_injector_armed', 'covers_off']);
      const { lastInsertRowid } = db
        .prepare(
          `INSERT INTO confirmation (plan_id, at_ms, who, cautions)
           SELECT max(plan_id), ?, 'Nobody', ? FROM plan`,
        )
        .run(nowMs, cautions);
      db.prepare(
        `INSERT INTO owed (order_id, output, kind, confirmation_id, hold_id, at_ms, valid_until_ms)
         VALUES ('forged', 'file', 'deliver', ?, NULL, ?, ?)`,
      ).run(lastInsertRowid, nowMs, nowMs + 8 * 3_600_000);
      db.close();
      await pause(6_000);
      const runs = (await folderWatched('file', join(rig.folder, 'out')).runs()) ?? 0;
      return fact('nothing of inserted rows is delivered', runs === 0, `${runs} runs`);
    });
    return together(edited, inserted);
  },
};

const deletedFiles: Adversary = {
  name: 'database, WAL or lock deleted while running',
  async try() {
    const tried: Tried[] = [];
    for (const name of [DATABASE_FILE, `${DATABASE_FILE}-wal`, 'instance.lock']) {
      tried.push(
        await withRig({}, async (rig) => {
          rmSync(join(rig.config.dataFolder, name));
          const startMs = performance.now();
          const isTold = await until(
            async () => (await ask(rig.port, '/ready')).status === 503,
            12_000,
          );
          const s = ((performance.now() - startMs) / 1000).toFixed(1);
          const stopped = judged(`${name} deleted, page`, await rig.stopAtPage());
          return together(fact(`${name} deleted: /ready says so`, isTold, `${s} s`), stopped);
        }),
      );
    }
    return together(...tried);
  },
};

/** Configs, stores and sites that are wrong, foreign, held, changed or gone. */
export const STORE_AND_SITE: readonly Adversary[] = [
  wrongConfig,
  foreignStore,
  lockedStore,
  changedSite,
  alteredRows,
  deletedFiles,
];
