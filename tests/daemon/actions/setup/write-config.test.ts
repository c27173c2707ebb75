import * as files from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { type DiskCalls, writeConfig } from '../../../../daemon/actions/setup/write-config.ts';
import { scratchFolder } from '../../../scratch-site.ts';

const CALLS: DiskCalls = files;
const NOW_MS = Date.parse('2026-07-01T09:10:11Z');

function scratchConfig() {
  const folder = scratchFolder();
  const path = join(folder, 'dewbeat.yaml');
  files.writeFileSync(path, 'old\n', { mode: 0o600 });
  const write = (calls?: DiskCalls, text = 'new\n', before: string | null = 'old\n') =>
    writeConfig({ path, text, before, nowMs: NOW_MS }, calls);
  return { folder, path, write, text: () => files.readFileSync(path, 'utf8') };
}

describe('writing a config', () => {
  it('replaces it whole, keeps a dated copy and its rights, and leaves nothing else', () => {
    const { folder, write, text, path } = scratchConfig();
    expect(write()).toEqual({ ok: true, path, copy: `${path}.20260701T091011Z.old` });
    expect(text()).toBe('new\n');
    expect(files.statSync(path).mode & 0o777).toBe(0o600);
    expect(files.readdirSync(folder).toSorted()).toEqual([
      'dewbeat.yaml',
      'dewbeat.yaml.20260701T091011Z.old',
    ]);
    expect(write(undefined, 'newer\n', 'new\n')).toMatchObject({
      copy: `${path}.20260701T091011Z-1.old`,
    });
  });

  it.each(['openSync', 'writeSync', 'fsyncSync', 'renameSync'] as const)(
    'leaves the old file whole when %s fails, at each of its calls',
    (name) => {
      for (let call = 1; call <= 3; call += 1) {
        const { write, text, folder } = scratchConfig();
        let seen = 0;
        const real = CALLS[name] as (...all: unknown[]) => unknown;
        const broken = (...args: unknown[]) => {
          seen += 1;
          if (seen === call) throw Object.assign(new Error('disk'), { code: 'EIO' });
          return real(...args);
        };
        const written = write({ ...files, [name]: broken } as DiskCalls);
        const isPastRename = text() === 'new\n';
        expect(text()).toBe(isPastRename ? 'new\n' : 'old\n');
        if (seen < call) expect(written.ok).toBe(true);
        else if (!isPastRename) expect(written).toMatchObject({ ok: false });
        expect(files.readdirSync(folder).filter((one) => one.endsWith('.new'))).toEqual([]);
      }
    },
  );

  it('leaves the old file when the process dies between the new file and the rename', () => {
    const { write, text, folder } = scratchConfig();
    const died = Object.assign(new Error('killed'), { code: 'KILLED' });
    const dead = () => {
      throw died;
    };
    write({ ...files, renameSync: dead, unlinkSync: dead });
    expect(text()).toBe('old\n');
    // What is left over does not get in the way of the next attempt.
    expect(files.readdirSync(folder).some((one) => one.endsWith('.new'))).toBe(true);
    const again = writeConfig({
      path: join(folder, 'dewbeat.yaml'),
      text: 'new\n',
      before: 'old\n',
      nowMs: NOW_MS + 1000,
    });
    expect(again.ok).toBe(true);
  });

  it('does not write over what another has changed meanwhile', () => {
    const { write, text } = scratchConfig();
    expect(write(undefined, 'new\n', 'older\n')).toMatchObject({ ok: false });
    expect(write(undefined, 'new\n', null)).toMatchObject({ ok: false });
    expect(text()).toBe('old\n');
  });

  it('writes through a link to where the file lies', () => {
    const { folder, path, text } = scratchConfig();
    const link = join(folder, 'link.yaml');
    files.symlinkSync(path, link);
    expect(
      writeConfig({ path: link, text: 'new\n', before: 'old\n', nowMs: NOW_MS }),
    ).toMatchObject({ ok: true, path });
    expect(files.lstatSync(link).isSymbolicLink()).toBe(true);
    expect(text()).toBe('new\n');
  });
});
