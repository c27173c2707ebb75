import { describe, expect, it } from 'vitest';
import {
  type FileCalls,
  fileFault,
  ReplaceFault,
  replaceFiles,
  replaceOrMakeRoom,
} from '../../../adapters/outputs/replace-files.ts';

describe('the words of a fault', () => {
  const said = (error: unknown) => fileFault({ where: 'file: out', error });
  const fault = (code: string | undefined, replaced: string[] = []) =>
    new ReplaceFault(Object.assign(new Error('words'), { code }), replaced);
  const unchanged = 'the files there are unchanged';

  it.each([
    ['EACCES', 'rejected', 'no permission to write', 'let the daemon write there'],
    ['EPERM', 'rejected', 'no permission to write', 'let the daemon write there'],
    ['EROFS', 'rejected', 'the folder is read-only', 'choose one that is not'],
    ['ENOTDIR', 'rejected', 'a file stands in the path', 'name a folder'],
    ['EEXIST', 'rejected', 'a file stands in the path', 'name a folder'],
    ['EISDIR', 'rejected', 'a folder has the name of a plan file', 'move it away'],
    ['ENAMETOOLONG', 'rejected', 'the path is too long', 'shorten it'],
    ['OVERTAKEN', 'rejected', 'a hold came first', 'confirm a fresh plan'],
    ['ENOSPC', 'unknown', 'the disk is full', 'free some space'],
    ['EDQUOT', 'unknown', 'the quota is used up', 'free some space'],
    ['EIO', 'unknown', 'the write failed', 'look at the disk'],
  ])('%s', (code, kind, wrong, remedy) => {
    const detail = `file: out: ${wrong} (got ${code}); ${remedy}: ${unchanged}`;
    expect(said(fault(code))).toEqual({ kind, detail });
    // Once a file was replaced nobody can say any more.
    expect(said(fault(code, ['card.txt', 'runs.csv']))).toEqual({
      kind: 'unknown',
      detail: `file: out: ${wrong} (got ${code}); ${remedy}: card.txt and runs.csv already changed`,
    });
  });

  it('of anything else that was thrown', () => {
    const detail = `file: out: the write failed (got UNKNOWN); look at the disk: ${unchanged}`;
    for (const odd of [new Error('x'), 'text', null, undefined, fault(undefined)]) {
      expect(said(odd)).toEqual({ kind: 'unknown', detail });
    }
    expect(said(Object.assign(new Error('x'), { code: 'EROFS' })).kind).toBe('rejected');
  });
});

describe('replacing files', () => {
  const files = [
    { name: 'a', text: 'A' },
    { name: 'b', text: 'B' },
  ];
  /** Calls that note what they do, and fail where the test says. */
  function noted(fails: (act: string) => unknown = () => null) {
    const acts: string[] = [];
    const act = (what: string) => {
      const words = what.replace(/\.([ab])\.[0-9a-f]{12}\.tmp/, '$1~');
      acts.push(words);
      const error = fails(words);
      if (error !== null) throw error;
    };
    const last = (path: unknown) => String(path).split('/').at(-1) ?? '';
    const calls = {
      mkdir: async (path: string, options: object) =>
        act(`mkdir ${last(path)} ${JSON.stringify(options)}`),
      open: async (path: string, flags: string, mode?: number) => {
        const name = last(path);
        act(`open ${name} ${flags} ${mode?.toString(8) ?? ''}`);
        return {
          chmod: async (rights: number) => act(`chmod ${name} ${rights.toString(8)}`),
          writeFile: async (text: string, encoding: string) =>
            act(`write ${name} ${text} ${encoding}`),
          sync: async () => act(`sync ${name}`),
          close: async () => act(`close ${name}`),
        };
      },
      rename: async (from: string, to: string) => act(`rename ${last(from)} ${last(to)}`),
      rm: async (path: string, options: object) =>
        act(`rm ${last(path)} ${JSON.stringify(options)}`),
    } as unknown as FileCalls;
    return { calls, acts };
  }
  const full = Object.assign(new Error('full'), { code: 'ENOSPC' });
  const thrown = (work: Promise<void>) =>
    work.then(
      () => null,
      (error: ReplaceFault) => error,
    );
  const writes = (name: string) => [
    `open ${name}~ wx 600`,
    `write ${name}~ ${name.toUpperCase()} utf8`,
    `sync ${name}~`,
    `close ${name}~`,
  ];
  const removes = ['rm a~ {"force":true}', 'rm b~ {"force":true}'];

  it('writes all through to the disk before the first rename, and the folder after the last', async () => {
    const { calls, acts } = noted();
    await replaceFiles('/x/out', files, calls);
    expect(acts).toEqual([
      'mkdir out {"recursive":true,"mode":448}',
      ...writes('a'),
      ...writes('b'),
      'rename a~ a',
      'rename b~ b',
      'open out r ',
      'sync out',
      'close out',
    ]);
  });

  it('gives the rights that were asked for', async () => {
    const { calls, acts } = noted();
    await replaceFiles('/x/out', files, calls, undefined, { folder: 0o750, file: 0o640 });
    expect(acts.slice(0, 3)).toEqual([
      'mkdir out {"recursive":true,"mode":488}',
      'open a~ wx 640',
      'chmod a~ 640',
    ]);
  });

  it.each([
    ['mkdir', []],
    ['open b~', []],
    ['write b~', []],
    ['sync a~', []],
    ['rename a~', []],
    ['rename b~', ['a']],
    ['sync out', ['a', 'b']],
  ])(
    'takes its temporary files away where "%s" fails, and says how far it came',
    async (at, done) => {
      const { calls, acts } = noted((act) => (act.startsWith(at) ? full : null));
      const error = await thrown(replaceFiles('/x/out', files, calls));
      expect(error).toBeInstanceOf(ReplaceFault);
      expect(error).toMatchObject({ code: 'ENOSPC', message: 'full', cause: full, replaced: done });
      expect(acts.slice(-2)).toEqual(removes);
      const opened = acts.filter((act) => act.startsWith('open')).length;
      const failed = at.startsWith('open') ? 1 : 0;
      expect(acts.filter((act) => act.startsWith('close'))).toHaveLength(opened - failed);
    },
  );

  it('says the fault that came first, also where nothing can be taken away', async () => {
    const { calls } = noted((act) =>
      act.startsWith('rename') ? full : act.startsWith('rm') ? new Error('rm') : null,
    );
    expect(await thrown(replaceFiles('/x/out', files, calls))).toMatchObject({ message: 'full' });
  });

  it('asks before each rename whether it may', async () => {
    let left = 1;
    const { calls, acts } = noted();
    const error = await thrown(replaceFiles('/x/out', files, calls, () => left-- > 0));
    expect(error).toMatchObject({ code: 'OVERTAKEN', message: 'overtaken', replaced: ['a'] });
    expect(acts).not.toContain('rename b~ b');
    expect(acts.slice(-2)).toEqual(removes);
  });

  it('has no code and no message of what is no error', async () => {
    const { calls } = noted(() => 'text');
    const error = await thrown(replaceFiles('/x/out', files, calls));
    expect(error).toMatchObject({ code: 'UNKNOWN', message: 'text', replaced: [] });
    const none = noted(() => null as never);
    expect(await thrown(replaceFiles('/x/out', files, none.calls))).toBeNull();
  });

  it.each(['ENOSPC', 'EDQUOT'])('makes room on %s by giving up the old files', async (code) => {
    let isFull = true;
    const { calls, acts } = noted((act) => {
      if (act === 'rm b {"force":true}') isFull = false;
      return isFull && act.startsWith('write') ? Object.assign(new Error('f'), { code }) : null;
    });
    await replaceOrMakeRoom('/x/out', files, calls);
    expect(acts.filter((act) => /^(rm [ab] |rename)/.test(act))).toEqual([
      'rm a {"force":true}',
      'rm b {"force":true}',
      'rename a~ a',
      'rename b~ b',
    ]);
  });

  it('says that the old files are gone where there is no room even so', async () => {
    const { calls } = noted((act) => (act.startsWith('write') ? full : null));
    const error = await thrown(replaceOrMakeRoom('/x/out', files, calls));
    expect(error).toBeInstanceOf(ReplaceFault);
    expect(error).toMatchObject({ code: 'ENOSPC', replaced: ['a', 'b'] });
  });

  it('gives nothing up for another fault, nor where it may not', async () => {
    const other = noted((act) => (act.startsWith('write') ? new Error('x') : null));
    expect(await thrown(replaceOrMakeRoom('/x/out', files, other.calls))).toMatchObject({
      code: 'UNKNOWN',
      replaced: [],
    });
    expect(other.acts.filter((act) => /^rm [ab] /.test(act))).toEqual([]);
    const { calls } = noted();
    const error = await thrown(replaceOrMakeRoom('/x/out', files, calls, () => false));
    expect(error).toMatchObject({ code: 'OVERTAKEN' });
  });

  it('passes on the rights, also when it has made room', async () => {
    let isFull = true;
    const { calls, acts } = noted((act) => {
      if (act.startsWith('rm b ')) isFull = false;
      return isFull && act.startsWith('write') ? full : null;
    });
    await replaceOrMakeRoom('/x/out', files, calls, undefined, { folder: 0o755, file: 0o644 });
    expect(acts.filter((act) => act.startsWith('chmod'))).toEqual([
      'chmod a~ 644',
      'chmod a~ 644',
      'chmod b~ 644',
    ]);
  });
});
