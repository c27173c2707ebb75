import * as nodeFs from 'node:fs';
import { existsSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { replaceFiles, syncFileCalls } from '../../../adapters/outputs/replace-files.ts';
import { scratchFolder } from '../../scratch-site.ts';

describe('file calls that wait for the disk', () => {
  it('make folders, with their rights', async () => {
    const folder = join(scratchFolder(), 'a', 'b');
    await syncFileCalls().mkdir(folder, { recursive: true, mode: 0o750 });
    expect(statSync(folder).mode & 0o777).toBe(0o750 & ~process.umask());
  });

  it('write, read and tell of a file, with its rights', async () => {
    const path = join(scratchFolder(), 'a.txt');
    const calls = syncFileCalls();
    const handle = await calls.open(path, 'wx', 0o600);
    expect(statSync(path).mode & 0o777).toBe(0o600);
    await handle.writeFile('words \u00fc');
    await handle.chmod(0o640);
    await handle.sync();
    expect((await handle.stat()).size).toBe(8);
    await handle.close();
    expect(statSync(path).mode & 0o777).toBe(0o640);
    const again = await calls.open(path);
    expect(await again.readFile('utf8')).toBe('words \u00fc');
    await again.close();
    await expect(calls.open(path, 'wx')).rejects.toThrow('EEXIST');
    await expect(again.stat()).rejects.toThrow('EBADF');
  });

  it('rename and remove', async () => {
    const folder = scratchFolder();
    const [from, to] = [join(folder, 'a'), join(folder, 'b')];
    writeFileSync(from, 'text');
    const calls = syncFileCalls();
    await calls.rename(from, to);
    expect(readFileSync(to, 'utf8')).toBe('text');
    await expect(calls.rename(from, to)).rejects.toThrow('ENOENT');
    await calls.rm(to, { force: true });
    await calls.rm(to, { force: true });
    expect(existsSync(to)).toBe(false);
    await expect(calls.rm(to)).rejects.toThrow('ENOENT');
  });

  it('replace files as the others do', async () => {
    const folder = scratchFolder();
    await replaceFiles(folder, [{ name: 'a.txt', text: 'new' }], syncFileCalls());
    expect(nodeFs.readdirSync(folder)).toEqual(['a.txt']);
    expect(readFileSync(join(folder, 'a.txt'), 'utf8')).toBe('new');
  });
});

describe('descriptors that are kept back', () => {
  afterEach(() => {
    vi.doUnmock('node:fs');
    vi.resetModules();
  });

  /** A process in which so many descriptors are left. */
  async function withDescriptors(start: number) {
    const state = { left: start, fault: 'EMFILE', closed: 0, opened: [] as string[] };
    const open = ((path: string, ...rest: [string, number]) => {
      if (state.left <= 0) throw Object.assign(new Error(state.fault), { code: state.fault });
      const handle = nodeFs.openSync(path, ...rest);
      state.left--;
      if (path !== '/dev/null') state.opened.push(path);
      return handle;
    }) as typeof nodeFs.openSync;
    const closeSync = (handle: number) => {
      state.left++;
      state.closed++;
      nodeFs.closeSync(handle);
    };
    vi.doMock('node:fs', () => ({ ...nodeFs, openSync: open, closeSync }));
    vi.resetModules();
    const fresh = await import('../../../adapters/outputs/replace-files.ts');
    return { state, calls: fresh.syncFileCalls() };
  }
  const path = () => join(scratchFolder(), 'a.txt');

  it('are three, and let a file be opened when there is no other', async () => {
    const { state, calls } = await withDescriptors(10);
    expect(state.left).toBe(7);
    state.left = 0;
    const handles = [];
    for (let i = 0; i < 3; i++) handles.push(await calls.open(path(), 'w'));
    await expect(calls.open(path(), 'w')).rejects.toThrow('EMFILE');
    expect(state.opened).toHaveLength(3);
    // What is given back is kept back again.
    for (const handle of handles) await handle.close();
    expect(state.left).toBe(0);
    await (await calls.open(path(), 'w')).close();
  });

  it('are given up for the machine that has none left, too', async () => {
    const { state, calls } = await withDescriptors(10);
    Object.assign(state, { left: 0, fault: 'ENFILE' });
    await (await calls.open(path(), 'w')).close();
    expect(state.opened).toHaveLength(1);
  });

  it('are as many as can be had, and no more than three', async () => {
    const { state, calls } = await withDescriptors(2);
    expect(state.left).toBe(0);
    const handle = await calls.open(path(), 'w');
    await (await calls.open(path(), 'w')).close();
    await expect(calls.open(join(scratchFolder(), 'no', 'such'), 'r')).rejects.toThrow();
    state.left = 10;
    await handle.close();
    expect(state.left).toBe(8);
  });

  it.each(['ENOENT', 'EACCES', ''])('are not given up for %s', async (fault) => {
    const { state, calls } = await withDescriptors(10);
    Object.assign(state, { left: 0, fault });
    await expect(calls.open(path(), 'r')).rejects.toThrow();
    expect(state.closed).toBe(0);
  });
});
