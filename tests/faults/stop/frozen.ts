import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ask, command, pause, until } from '../real-daemon.ts';
import {
  type Adversary,
  bothWays,
  fact,
  judged,
  judgedWell,
  together,
  withRig,
} from './adversary.ts';
import { folderWatched, smallDisk, stopRig, useStationFile, whyNoFrozenDisk } from './rig.ts';

const fifo: Adversary = {
  name: 'weather file replaced by a pipe; another output on a frozen disk',
  async try() {
    const piped = await (async () => {
      const rig = await stopRig();
      useStationFile(rig.folder, 'at,t\n');
      const check = await command(rig.folder, ['check']);
      if (check.code !== 0) return fact('a config with a station file', false, check.said);
      try {
        await rig.start();
        await rig.confirmFresh();
        rmSync(join(rig.folder, 'station.csv'));
        const made = spawn('mkfifo', [join(rig.folder, 'station.csv')]);
        await new Promise((resolve) => made.once('exit', resolve));
        await pause(3_000);
        return await bothWays(rig, 'weather is a pipe');
      } finally {
        await rig.end();
      }
    })();
    const why = whyNoFrozenDisk();
    if (why !== null) return together(piped, fact(`frozen disk: left out (${why})`, true));
    const base = mkdtempSync(join(tmpdir(), 'dewbeat-frozen-'));
    const disk = smallDisk(base);
    try {
      const outputs = [
        '{ output: file, folder: out }',
        `{ output: file, name: panel, folder: ${join(disk.folder, 'out')} }`,
      ];
      const frozen = await withRig({ outputs }, async (rig) => {
        const panel = folderWatched('panel', join(disk.folder, 'out'));
        disk.freeze();
        const page = await rig.stopAtPage();
        const told = judged('another output on a frozen disk, page', page);
        if (page.isToldWell || !/panel: NOT STOPPED/.test(page.said)) {
          told.broken.push(`frozen disk: the person was told ${page.said}`);
        }
        const line = await rig.stopByCommand(['--why', 'again']);
        const again = judged('another output on a frozen disk, command', line);
        if (line.isToldWell) again.broken.push('frozen disk: exit 0 although an output hangs');
        const status = await rig.status();
        disk.thaw();
        const isEmptied = await until(async () => ((await panel.runs()) ?? 0) === 0, 10_000);
        return together(
          told,
          again,
          fact('the hanging output is named by status', /panel/.test(status)),
          fact('the disk thaws: the panel is emptied', isEmptied),
        );
      });
      return together(piped, frozen);
    } finally {
      disk.remove();
      rmSync(base, { recursive: true, force: true });
    }
  },
};

const frozenDaemon: Adversary = {
  name: 'daemon under SIGSTOP, then the command',
  try: () =>
    withRig({}, async (rig) => {
      rig.daemon().kill('SIGSTOP');
      const measured = await rig.stopByCommand();
      const tried = judgedWell('frozen daemon, command', measured);
      rig.daemon().kill('SIGCONT');
      await pause(6_000);
      const runs = (await folderWatched('file', join(rig.folder, 'out')).runs()) ?? 0;
      return together(tried, fact('the daemon thaws: the runs stay away', runs === 0));
    }),
};

const frozenStore: Adversary = {
  name: 'data folder on a frozen disk',
  async try() {
    const why = whyNoFrozenDisk();
    if (why !== null) return fact(`frozen disk: left out (${why})`, true);
    const base = mkdtempSync(join(tmpdir(), 'dewbeat-frozen-'));
    const disk = smallDisk(base);
    const rig = await stopRig();
    try {
      const file = join(rig.folder, 'dewbeat.yaml');
      const dataFolder = join(disk.folder, 'data');
      writeFileSync(file, `data_folder: ${dataFolder}\n${readFileSync(file, 'utf8')}`);
      await rig.start();
      await rig.confirmFresh();
      disk.freeze();
      const page = await rig.stopAtPage();
      const tried = judged('frozen store, page', page);
      if (page.isToldWell || !page.said.includes('NOT WRITTEN')) {
        tried.broken.push(`frozen store: the person was told ${page.said}`);
      }
      disk.thaw();
      const isWritten = await until(
        async () => (await command(rig.folder, ['log'])).said.includes('tried'),
        30_000,
      );
      await until(async () => (await ask(rig.port, '/ready')).status === 200, 30_000);
      await rig.confirmFresh();
      disk.freeze();
      const line = judged('frozen store, command', await rig.stopByCommand());
      disk.thaw();
      return together(tried, fact('thawed: the stop is written', isWritten), line);
    } finally {
      disk.thaw();
      await rig.end();
      disk.remove();
      rmSync(base, { recursive: true, force: true });
    }
  },
};

/** What hangs: a pipe, a disk, the daemon itself. */
export const FROZEN: readonly Adversary[] = [fifo, frozenDaemon, frozenStore];
