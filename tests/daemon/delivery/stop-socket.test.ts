import { createServer, type Server } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { askDaemonToStop, stopSocketOf } from '../../../daemon/delivery/stop-now.ts';
import { entryBeside, loaderFor } from '../../../daemon/delivery/thread-entry.ts';
import { scratchFolder } from '../../scratch-site.ts';

describe('stopSocketOf', () => {
  it('lies in the data folder, by its whole path', () => {
    expect(stopSocketOf('/srv/data')).toBe('/srv/data/stop.sock');
    expect(stopSocketOf('data')).toBe(join(process.cwd(), 'data', 'stop.sock'));
  });

  it('lies elsewhere, under a mark of its own, where the path is too long for a socket', () => {
    // 100 bytes with "/stop.sock" behind it.
    const longest = `/${'d'.repeat(89)}`;
    expect(stopSocketOf(longest)).toBe(`${longest}/stop.sock`);
    const tooLong = stopSocketOf(`${longest}d`);
    expect(tooLong.startsWith(join(tmpdir(), 'dewbeat-'))).toBe(true);
    expect(tooLong).toMatch(/dewbeat-[0-9a-f]{16}\.sock$/);
    expect(stopSocketOf(`${longest}d`)).toBe(tooLong);
    expect(stopSocketOf(`${longest}e`)).not.toBe(tooLong);
    // Counted in bytes and not in letters.
    expect(stopSocketOf(`/${'\u00fc'.repeat(60)}`)).toMatch(/dewbeat-/);
  });
});

interface Heard {
  method: string | undefined;
  url: string | undefined;
  type: string | undefined;
  length: string | undefined;
  body: string;
}

/** A daemon that says this of every stop; null: it says nothing. */
async function daemonThatSays(status: number, said: string | null) {
  const path = join(scratchFolder(), 'stop.sock');
  const heard: Heard[] = [];
  const server: Server = createServer((request, reply) => {
    let body = '';
    request.on('data', (chunk) => {
      body += chunk;
    });
    request.on('end', () => {
      const { method, url, headers } = request;
      const { 'content-type': type, 'content-length': length } = headers;
      heard.push({ method, url, type, length, body });
      if (said !== null) reply.writeHead(status).end(said);
    });
  });
  await new Promise<void>((resolve) => server.listen(path, resolve));
  onTestFinished(() => {
    server.closeAllConnections();
    server.close();
  });
  return { path, heard };
}

const ask = (path: string, patienceMs = 5_000) =>
  askDaemonToStop(path, { who: 'B. M\u00fcller', beds: 'all' }, { patienceMs }).said;

describe('askDaemonToStop', () => {
  it('posts the stop, and tells what the daemon said of it', async () => {
    const { path, heard } = await daemonThatSays(
      200,
      JSON.stringify({ line: 'On hold: everything.', outputs: ['file: stopped', 7] }),
    );
    expect(await ask(path)).toEqual({
      isWell: true,
      line: 'On hold: everything.',
      outputs: ['file: stopped', '7'],
    });
    const body = JSON.stringify({ who: 'B. M\u00fcller', beds: 'all' });
    expect(heard).toEqual([
      {
        method: 'POST',
        url: '/api/hold',
        type: 'application/json',
        length: String(Buffer.byteLength(body)),
        body,
      },
    ]);
  });

  it.each<[string, number, string, unknown]>([
    [
      'what went wrong',
      503,
      '{"line":"NOT STOPPED","outputs":[]}',
      { isWell: false, line: 'NOT STOPPED', outputs: [] },
    ],
    [
      'a refusal',
      400,
      '{"message":"no such bed"}',
      { isWell: false, line: 'no such bed', outputs: [] },
    ],
    ['no words', 200, '{"line":7}', null],
    ['another stream of things', 200, 'null', null],
    ['no JSON', 200, '<html>', null],
  ])('tells %s', async (_, status, text, said) => {
    const { path } = await daemonThatSays(status, text);
    expect(await ask(path)).toEqual(said);
  });

  it('is null where nobody listens', async () => {
    expect(await ask(join(scratchFolder(), 'stop.sock'))).toBeNull();
  });

  it('is null after its patience, and when it is closed before', async () => {
    const { path } = await daemonThatSays(200, null);
    const sinceMs = performance.now();
    expect(await ask(path, 150)).toBeNull();
    expect(performance.now() - sinceMs).toBeGreaterThan(140);
    const { said, close } = askDaemonToStop(path, {}, { patienceMs: 60_000 });
    close();
    expect(await said).toBeNull();
  });

  it('is null where the daemon breaks off in the middle of a word', async () => {
    const path = join(scratchFolder(), 'stop.sock');
    const server = createServer((_, reply) => {
      reply.writeHead(200, { 'content-length': '100' });
      reply.write('{"line":', () => reply.destroy());
    });
    await new Promise<void>((resolve) => server.listen(path, resolve));
    onTestFinished(() => void server.close());
    expect(await ask(path)).toBeNull();
  });
});

describe('whether the daemon has it', () => {
  const takenOf = async (path: string) => {
    const { taken, said, close } = askDaemonToStop(path, {}, { patienceMs: 5_000 });
    const isTaken = await taken;
    close();
    return { isTaken, said: await said };
  };

  it('is known before it is carried out, where the daemon says so', async () => {
    const path = join(scratchFolder(), 'stop.sock');
    const server = createServer((_, reply) => reply.writeProcessing());
    await new Promise<void>((resolve) => server.listen(path, resolve));
    onTestFinished(() => {
      server.closeAllConnections();
      server.close();
    });
    expect(await takenOf(path)).toEqual({ isTaken: true, said: null });
  });

  it('is known by its answer at the latest', async () => {
    const { path } = await daemonThatSays(200, '{"line":"On hold"}');
    expect((await takenOf(path)).isTaken).toBe(true);
    expect((await takenOf(join(scratchFolder(), 'none.sock'))).isTaken).toBe(false);
  });
});

describe('the file of a thread', () => {
  it('is the one that was built beside a built module, and the one that is written else', () => {
    expect(entryBeside('file:///a/b/module.js', 'thread').href).toBe('file:///a/b/thread.js');
    expect(entryBeside('file:///a/b/module.ts', 'thread').href).toBe('file:///a/b/thread.ts');
    expect(loaderFor('file:///a/b/module.js')).toEqual([]);
    expect(loaderFor('file:///a/b/module.ts')).toEqual(['--import', 'tsx']);
  });
});
