import { EventEmitter } from 'node:events';
import type { IncomingMessage, Server, ServerResponse } from 'node:http';
import { Readable } from 'node:stream';
import type { MessagePort } from 'node:worker_threads';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { StopNow } from '../../../../adapters/contract.ts';
import {
  capConnections,
  maxConnections,
  portTarget,
} from '../../../../daemon/faces/web/front/front.ts';
import type {
  FromFront,
  FrontSettings,
} from '../../../../daemon/faces/web/front/front-messages.ts';
import { startRelay } from '../../../../daemon/faces/web/front/relay.ts';
import {
  addressOf,
  bodyOf,
  cookieOf,
  crossSiteRefusal,
  MAX_BODY_BYTES,
  plainHeaders,
  send,
} from '../../../../daemon/faces/web/front/requests.ts';

const settings: FrontSettings = {
  siteId: 'example-site',
  bedIds: ['bed-1'],
  address: '127.0.0.1',
  port: 8080,
  isLoopback: true,
  hosts: ['greens.example'],
  proxies: [],
  hasPeople: true,
  stopByAnyone: true,
};

/** A request of which only what is asked for is there. */
const requestOf = (headers: Record<string, string | undefined>, remoteAddress = '192.0.2.7') =>
  ({ headers, socket: { remoteAddress }, method: 'POST', url: '/x' }) as unknown as IncomingMessage;

/** A reply that notes what is done to it. */
class FakeReply extends EventEmitter {
  done: string[] = [];
  body = '';
  headersSent = false;
  writableLength = 0;
  writeHead(status: number, headers: object) {
    this.headersSent = true;
    this.done.push(`head ${status} ${Object.keys(headers).join(' ')}`);
  }
  flushHeaders() {
    this.done.push('flush');
  }
  write(chunk: Uint8Array) {
    this.done.push(`write ${Buffer.from(chunk).toString()}`);
  }
  end(text?: string) {
    this.body = text ?? '';
    this.done.push('end');
  }
  destroy() {
    this.done.push('destroy');
  }
  get as() {
    return this as unknown as ServerResponse;
  }
}

describe('how many connections a page may hold', () => {
  const limits = (soft: number | string) =>
    `Limit                     Soft Limit           Hard Limit           Units\nMax open files            ${soft}                 4096                 files\n`;
  it.each([
    [limits(192), 36],
    [limits(193), 36],
    [limits(1024), 400],
    [limits(136), 8],
    [limits(20), 8],
    [limits('unlimited'), 400],
    ['Max processes 9\n', 400],
    [null, 400],
  ])('%#', (text, most) => {
    expect(maxConnections(text)).toBe(most);
  });
});

describe('when all connections are taken', () => {
  class FakeSocket extends EventEmitter {
    isGone = false;
    destroy() {
      this.isGone = true;
      this.emit('close');
    }
  }
  function scene(most: number) {
    const server = new EventEmitter();
    capConnections(server as unknown as Server, most);
    return {
      comes: () => {
        const socket = new FakeSocket();
        server.emit('connection', socket);
        return socket;
      },
      asks: (socket: FakeSocket) => {
        const reply = new EventEmitter();
        server.emit('request', { socket }, reply);
        return reply;
      },
    };
  }
  const gone = (sockets: { isGone: boolean }[]) => sockets.map(({ isGone }) => isGone);

  it('the oldest that asks for nothing goes', () => {
    const { comes, asks } = scene(3);
    const first = comes();
    asks(first);
    const others = [comes(), comes()];
    expect(gone([first, ...others])).toEqual([false, false, false]);
    const newest = comes();
    expect(gone([first, ...others, newest])).toEqual([false, true, false, false]);
  });

  it('whoever comes goes where all ask for something', () => {
    const { comes, asks } = scene(2);
    const both = [comes(), comes()];
    for (const socket of both) asks(socket);
    const newest = comes();
    expect(gone([...both, newest])).toEqual([false, false, true]);
  });

  it('one that has all its answers asks for nothing, and one that is closed counts no more', () => {
    const { comes, asks } = scene(2);
    const [first, second] = [comes(), comes()];
    const replies = [asks(first), asks(first)];
    asks(second);
    replies[0]?.emit('close');
    expect(comes().isGone).toBe(true);
    replies[1]?.emit('close');
    const third = comes();
    expect(gone([first, second, third])).toEqual([true, false, false]);
    third.destroy();
    expect(comes().isGone).toBe(false);
  });
});

describe('a stop over a port', () => {
  function scene() {
    const sent: unknown[] = [];
    const port = Object.assign(new EventEmitter(), {
      isClosed: false,
      postMessage: (message: unknown) => void sent.push(message),
      close() {
        this.isClosed = true;
      },
    });
    return { port, sent, target: portTarget('file', port as unknown as MessagePort) };
  }
  const stop = (stopNo: number) => ({ stopNo, beds: 'all', who: 'B', why: '', atMs: 1 }) as StopNow;

  it('is answered under its own number', async () => {
    const { port, sent, target } = scene();
    const answers = [target.stopNow(stop(7)), target.stopNow(stop(8))];
    expect(sent).toEqual([
      { id: 1, asked: stop(7) },
      { id: 2, asked: stop(8) },
    ]);
    port.emit('message', { id: 2, answer: { kind: 'accepted', detail: 'second' } });
    port.emit('message', { id: 9, answer: { kind: 'accepted', detail: 'nobody asked' } });
    port.emit('message', { id: 1, answer: { kind: 'rejected', detail: 'first' } });
    expect(await Promise.all(answers)).toMatchObject([{ detail: 'first' }, { detail: 'second' }]);
    target.storeKnows(8);
    expect(sent.at(-1)).toEqual({ storeKnows: 8 });
    target.close();
    expect([target.name, port.isClosed]).toEqual(['file', true]);
  });

  it('is unknown where the thread ends', async () => {
    const { port, target } = scene();
    const answer = target.stopNow(stop(7));
    port.emit('close');
    expect(await answer).toEqual({ kind: 'unknown', detail: 'its thread has ended' });
  });
});

describe('what a request is', () => {
  const own = { host: 'localhost:8080', origin: 'http://localhost:8080', 'x-dewbeat': '1' };
  const refusal = (headers: Record<string, string | undefined>, change: object = {}) =>
    crossSiteRefusal(requestOf(headers), { ...settings, ...change })?.[0] ?? null;

  it.each<[Record<string, string | undefined>, object, string | null]>([
    [own, {}, null],
    [{ ...own, origin: undefined }, {}, null],
    [{ ...own, host: 'greens.example', origin: 'https://greens.example' }, {}, null],
    [{ ...own, 'sec-fetch-site': 'same-origin' }, {}, null],
    [{ ...own, 'x-dewbeat': undefined }, {}, 'foreign_request'],
    [{ ...own, 'sec-fetch-site': 'cross-site' }, {}, 'foreign_request'],
    [{ ...own, origin: 'http://elsewhere.example' }, {}, 'foreign_request'],
    [{ ...own, host: 'elsewhere.example' }, {}, 'unknown_host'],
    [{ ...own, host: '192.0.2.7', origin: undefined }, {}, 'unknown_host'],
    [{ ...own, host: '192.0.2.7', origin: undefined }, { isLoopback: false }, null],
    [{ ...own, 'x-forwarded-for': '192.0.2.7' }, {}, 'unknown_proxy'],
    [{ ...own, 'x-forwarded-for': '192.0.2.7' }, { proxies: ['127.0.0.1'] }, null],
  ])('from %j with %j: %s', (headers, change, code) => {
    expect(refusal(headers, change)).toBe(code);
  });

  it.each([
    [{}, '192.0.2.7', [], '192.0.2.7'],
    [{}, '::ffff:192.0.2.7', [], '192.0.2.7'],
    [{}, undefined, [], '?'],
    [{ 'x-forwarded-for': '198.51.100.9' }, '192.0.2.7', [], '192.0.2.7'],
    [{ 'x-forwarded-for': '198.51.100.9' }, '192.0.2.7', ['192.0.2.7'], '198.51.100.9'],
    [{ 'x-forwarded-for': 'forged, 198.51.100.9' }, '192.0.2.7', ['192.0.2.7'], '198.51.100.9'],
    [{ 'x-forwarded-for': ' ' }, '192.0.2.7', ['192.0.2.7'], '192.0.2.7'],
    [{}, '192.0.2.7', ['192.0.2.7'], '192.0.2.7'],
  ])('with %j over %s comes from an address', (headers, remote, proxies, address) => {
    const request = { headers, socket: { remoteAddress: remote } } as unknown as IncomingMessage;
    expect(addressOf(request, { ...settings, proxies })).toBe(address);
  });

  it('has a body up to its limit, and none where whoever asked has gone', async () => {
    const streamOf = (...chunks: Buffer[]) => Readable.from(chunks) as unknown as IncomingMessage;
    expect(await bodyOf(streamOf(Buffer.from('a'), Buffer.from('b')))).toEqual(Buffer.from('ab'));
    const whole = Buffer.alloc(MAX_BODY_BYTES);
    expect((await bodyOf(streamOf(whole)))?.byteLength).toBe(MAX_BODY_BYTES);
    expect(await bodyOf(streamOf(whole, Buffer.from('x')))).toBeNull();
    const broken = new Readable({ read: () => broken.destroy(new Error('gone')) });
    expect(await bodyOf(broken as unknown as IncomingMessage)).toEqual(Buffer.alloc(0));
  });

  it('has headers and cookies', () => {
    expect(plainHeaders({ a: 'x', b: undefined, 'set-cookie': ['y'] })).toEqual({
      a: 'x',
      'set-cookie': ['y'],
    });
    const cookie = (text: string | undefined) => cookieOf(requestOf({ cookie: text }), 'sign-in');
    expect(cookie('a=1; sign-in=token=x; b=2')).toBe('token=x');
    expect(cookie('xsign-in=1')).toBeNull();
    expect(cookie('sign-in')).toBe('');
    expect(cookie(undefined)).toBeNull();
  });

  it('is answered once', () => {
    const reply = new FakeReply();
    send(reply.as, 503, { code: 'busy' });
    expect(reply.done).toEqual([
      'head 503 content-type cache-control x-content-type-options',
      'end',
    ]);
    expect(reply.body).toBe('{"code":"busy"}');
    send(reply.as, 200, {});
    expect(reply.done.at(-1)).toBe('destroy');
  });
});

describe('what is passed on to the page behind', () => {
  beforeEach(() => void vi.useFakeTimers());
  afterEach(() => void vi.useRealTimers());

  function scene() {
    const told: FromFront[] = [];
    const relay = startRelay(
      (message) => void told.push(message),
      () => 'example-site',
    );
    const passOn = (request = requestOf({ a: 'x' }), body = Buffer.alloc(0)) => {
      const reply = new FakeReply();
      relay.passOn(request, reply.as, body);
      return reply;
    };
    return { relay, told, passOn };
  }
  const ready = { ...requestOf({}), url: '/ready?x=1' } as IncomingMessage;

  it('is the request under a number, and its answer piece by piece', () => {
    const { relay, told, passOn } = scene();
    const reply = passOn(undefined, Buffer.from('{}'));
    expect(told).toEqual([
      {
        kind: 'request',
        request: {
          id: 1,
          method: 'POST',
          url: '/x',
          headers: { a: 'x' },
          body: new Uint8Array(Buffer.from('{}')),
          remoteAddress: '192.0.2.7',
        },
      },
    ]);
    relay.hear({ kind: 'head', id: 1, status: 200, headers: { etag: 'y' } });
    relay.hear({ kind: 'chunk', id: 1, chunk: Buffer.from('one') });
    relay.hear({ kind: 'end', id: 1 });
    relay.hear({ kind: 'chunk', id: 1, chunk: Buffer.from('late') });
    relay.hear({ kind: 'head', id: 1, status: 200, headers: {} });
    relay.hear({ kind: 'end', id: 1 });
    expect(reply.done).toEqual(['head 200 etag', 'flush', 'write one', 'end']);
    reply.emit('close');
    vi.advanceTimersByTime(60_000);
    expect(told).toHaveLength(1);
    passOn();
    expect(told[1]).toMatchObject({ request: { id: 2, body: null } });
  });

  it('is given up after 25 s without a head, and is not answered any more then', () => {
    const { relay, told, passOn } = scene();
    const reply = passOn();
    vi.advanceTimersByTime(24_999);
    expect(reply.done).toEqual([]);
    vi.advanceTimersByTime(1);
    expect(told[1]).toEqual({ kind: 'gone', id: 1 });
    expect(JSON.parse(reply.body)).toEqual({
      code: 'busy',
      message: 'page: the daemon does not answer; stopping water works all the same',
    });
    relay.hear({ kind: 'head', id: 1, status: 200, headers: {} });
    expect(reply.done).toHaveLength(2);
  });

  it('may take its time once its head is there', () => {
    const { relay, passOn } = scene();
    const reply = passOn();
    relay.hear({ kind: 'head', id: 1, status: 200, headers: {} });
    vi.advanceTimersByTime(60_000);
    expect(reply.done).toEqual(['head 200 ', 'flush']);
  });

  it('is answered after 2 s where it asks whether the daemon is ready', () => {
    const { passOn } = scene();
    const reply = passOn(ready);
    vi.advanceTimersByTime(1_999);
    expect(reply.done).toEqual([]);
    vi.advanceTimersByTime(1);
    expect(JSON.parse(reply.body)).toEqual({
      ready: false,
      site: 'example-site',
      reasons: [
        {
          code: 'clockwork',
          text: 'the daemon does not answer; start it again, and look at its disk',
        },
      ],
    });
  });

  it('is told to be gone where whoever asked has gone', () => {
    const { told, passOn } = scene();
    const reply = passOn();
    reply.emit('close');
    expect(told[1]).toEqual({ kind: 'gone', id: 1 });
    vi.advanceTimersByTime(60_000);
    expect([told.length, reply.done]).toEqual([2, []]);
  });

  it('is let go of where it is read too slowly', () => {
    const { relay, passOn } = scene();
    const reply = passOn();
    reply.writableLength = 4 * 2 ** 20;
    relay.hear({ kind: 'chunk', id: 1, chunk: Buffer.from('a') });
    expect(reply.done).toEqual(['write a']);
    reply.writableLength += 1;
    relay.hear({ kind: 'chunk', id: 1, chunk: Buffer.from('b') });
    expect(reply.done).toEqual(['write a', 'write b', 'destroy']);
  });

  it('is two hundred requests at once, and no more', () => {
    const { relay, told, passOn } = scene();
    for (let i = 0; i < 200; i++) passOn();
    const refused = passOn();
    expect(JSON.parse(refused.body)).toEqual({
      code: 'busy',
      message: 'page: too many requests at once; stopping water works all the same',
    });
    expect(told).toHaveLength(200);
    relay.hear({ kind: 'end', id: 7 });
    expect(passOn().done).toEqual([]);
  });
});
