import { createHash } from 'node:crypto';
import { readFileSync, rmSync } from 'node:fs';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { Socket } from 'node:net';
import type { MessagePort } from 'node:worker_threads';
import type { Answer, StopNow } from '../../../../adapters/contract.ts';
import { bedsToHold } from '../../../actions/stop-water.ts';
import type { KeptStop } from '../../../delivery/delivery-memory.ts';
import { type StopRequest, type StopTarget, stopDispatcher } from '../../../delivery/stop-now.ts';
import type { FromStopPort, ToStopPort } from '../../../delivery/threaded-output.ts';
import { within } from '../../../within.ts';
import { sayStop, sayStrangers, withStrangers } from '../../../words/delivery-words.ts';
import { type Message, type Say, sayIn } from '../../../words/language.ts';
import { languageOf, sayToPage } from '../asked-language.ts';
import { SESSION_COOKIE } from '../safety/sessions.ts';
import type {
  FromFront,
  FrontSettings,
  FrontSignIn,
  StopForStore,
  ToFront,
} from './front-messages.ts';
import { startRelay } from './relay.ts';
import {
  addressOf,
  bodyOf,
  cookieOf,
  crossSiteRefusal,
  MAX_BODY_BYTES,
  readStopRequest,
  refuse,
  send,
  whoStops,
} from './requests.ts';

/** A stop is told about after this at the latest, the store included. */
const TOLD_AFTER_MS = 2_600;
const CHANGE_PATIENCE_MS = 3_000;
const LISTEN_AGAIN_MS = 10_000;

/** The front of the page: the one that is hit first, and that nothing else holds up. */
interface Front {
  hear(message: ToFront): void;
}

/**
 * Takes connections, carries out stops by itself, and passes everything else on to the page behind
 * it. It touches neither the disk nor the database, and waits for nobody who does.
 */
export function startFront(tell: (message: FromFront) => void, now: () => number): Front {
  let settings: FrontSettings | null = null;
  let signIns = new Map<string, FrontSignIn>();
  let targets: PortTarget[] = [];
  let changed: { wait: Promise<void>; done(): void } | null = null;
  const relay = startRelay(tell, () => settings?.siteId ?? null);
  /** Stops that the store has not taken yet, as they were asked. */
  const unkept = new Map<number, StopForStore>();
  const keeping = new Map<number, (kept: KeptStop) => void>();
  const desk = stopDispatcher(() => targets);
  const page = createServer((request, reply) => void answer(request, reply, 'page'));
  const socket = createServer((request, reply) => void answer(request, reply, 'socket'));
  capConnections(page, maxConnections(processLimits()));
  for (const server of [page, socket]) {
    server.headersTimeout = 5_000;
    server.requestTimeout = 30_000;
    server.keepAliveTimeout = 5_000;
  }
  let listening: { place: string; again: NodeJS.Timeout | undefined } | null = null;

  async function answer(
    request: IncomingMessage,
    reply: ServerResponse,
    from: 'page' | 'socket',
  ): Promise<void> {
    request.on('error', () => reply.destroy());
    const path = (request.url ?? '').split('?')[0];
    if (request.method === 'GET' && path === '/health') {
      return send(reply, 200, { status: 'ok', site: settings?.siteId ?? null });
    }
    const body = await bodyOf(request);
    if (body === null) {
      const told: Message = { key: 'page_refused.too_large', values: { bytes: MAX_BODY_BYTES } };
      return refuse(request, reply, 413, ['bad_request', told]);
    }
    if (request.method === 'POST' && path === '/api/hold')
      return hold(request, reply, { body, from });
    if (from === 'socket')
      return refuse(request, reply, 404, ['not_found', { key: 'page_refused.stops_only' }]);
    relay.passOn(request, reply, body);
  }

  async function hold(
    request: IncomingMessage,
    reply: ServerResponse,
    { body, from }: { body: Buffer; from: 'page' | 'socket' },
  ): Promise<void> {
    if (settings === null) {
      return refuse(request, reply, 503, ['busy', { key: 'page_refused.starting' }]);
    }
    const say = from === 'socket' ? sayIn(languageOf(request)) : sayToPage(request);
    if (from === 'page') {
      const foreign = crossSiteRefusal(request, settings);
      if (foreign !== null) return refuse(request, reply, 403, foreign);
    }
    const asked = readStopRequest(body.toString('utf8'), say);
    if ('key' in asked) return refuse(request, reply, 400, ['bad_request', asked]);
    const who =
      from === 'socket'
        ? asked.who || say('someone.at_command_line')
        : whoStops({
            person: signedIn(request, settings),
            given: asked.who,
            address: addressOf(request, settings),
            hasPeople: settings.hasPeople,
            stopByAnyone: settings.stopByAnyone,
            say,
          });
    if (who === null)
      return refuse(request, reply, 401, ['sign_in', { key: 'page_refused.sign_in' }]);
    const { beds, ...names } = bedsToHold(settings.bedIds, asked.beds);
    if (beds.length === 0) {
      const message = `beds: ${sayStrangers(names, say)}`;
      return send(reply, 400, { code: 'no_such_bed', message });
    }
    const { why, untilMs } = asked;
    // Whoever asks at the socket is told at once that somebody is at work on it.
    if (from === 'socket') reply.writeProcessing();
    const outcome = await stopWater({ beds, who, why, untilMs, atMs: now() }, say);
    const line = withStrangers(outcome.line, names, say);
    const { outputs } = outcome;
    if (outcome.isWell) return send(reply, 200, { line, outputs, ...outcome.written });
    const code = outcome.isStopped ? 'hold_unwritten' : 'not_stopped';
    send(reply, 503, { code, message: [line, ...outputs].join('\n'), line, outputs });
  }

  async function stopWater(asked: StopRequest, say: Say) {
    const untilMs = performance.now() + TOLD_AFTER_MS;
    if (changed !== null) await within(changed.wait, CHANGE_PATIENCE_MS);
    const { stopNo, stoppedAt } = desk.stop(asked);
    const forStore: StopForStore = { ...asked, stopNo };
    unkept.set(stopNo, forStore);
    // The store may take it while the outputs stop, after it has refused it first.
    const store: { said: KeptStop } = {
      said: { written: null, why: say('stop.store_silent') },
    };
    const kept = new Promise<void>((resolve) =>
      keeping.set(stopNo, (said) => {
        store.said = said;
        resolve();
      }),
    );
    tell({ kind: 'stop', stop: forStore });
    const at = await stoppedAt;
    await within(kept, Math.max(0, untilMs - performance.now()));
    keeping.delete(stopNo);
    const { written, why } = store.said;
    const outcome = { beds: asked.beds, stoppedAt: at, unwritten: why, keeper: 'daemon' } as const;
    const words = sayStop(outcome, say);
    if (changed !== null) {
      const line = say('stop.not_now');
      return { ...words, isWell: false, isStopped: false, line, written };
    }
    return { ...words, written };
  }

  function signedIn(request: IncomingMessage, { hasPeople }: FrontSettings): string | null {
    if (!hasPeople) return null;
    const token = cookieOf(request, SESSION_COOKIE);
    if (token === null) return null;
    const found = signIns.get(createHash('sha256').update(token).digest('hex'));
    return found === undefined || now() >= found.endMs ? null : found.name;
  }

  function listen({ address, port }: FrontSettings): void {
    const place = `${address} ${port}`;
    if (listening?.place === place) {
      if (page.listening) tellServed();
      return;
    }
    clearTimeout(listening?.again);
    listening = { place, again: undefined };
    const begin = () => page.listen({ host: address, port });
    if (!page.listening) return void begin();
    page.close(() => begin());
    page.closeAllConnections();
  }

  function tellServed(): void {
    const bound = page.address();
    if (typeof bound !== 'object' || bound === null) return;
    const host = bound.family === 'IPv6' ? `[${bound.address}]` : bound.address;
    tell({ kind: 'served', url: `http://${host}:${bound.port}`, port: bound.port, why: null });
  }

  page.on('listening', tellServed);
  page.on('error', (error) => {
    tell({ kind: 'served', url: null, port: null, why: error.message });
    const here = listening;
    if (here === null || settings === null) return;
    const { address, port } = settings;
    here.again = setTimeout(() => {
      if (listening === here) page.listen({ host: address, port });
    }, LISTEN_AGAIN_MS);
  });
  socket.on('listening', () => tell({ kind: 'socket', why: null }));
  socket.on('error', (error) => tell({ kind: 'socket', why: error.message }));

  function take(fresh: readonly { name: string; port: MessagePort }[]): void {
    for (const target of targets) target.close();
    targets = fresh.map(({ name, port }) => portTarget(name, port));
    // A stop that the store does not have yet is known to nobody but to this thread.
    for (const { stopNo, beds, who, why, atMs } of unkept.values()) {
      for (const target of targets) void target.stopNow({ stopNo, beds, who, why, atMs });
    }
    changed?.done();
    changed = null;
  }

  return {
    hear(message) {
      switch (message.kind) {
        case 'settings':
          settings = message.settings;
          listen(settings);
          return;
        case 'signIns':
          signIns = new Map(message.signIns.map((one) => [one.hash, one]));
          return;
        case 'targets':
          take(message.targets);
          return;
        case 'changing': {
          if (changed !== null) return;
          let done = () => {};
          const wait = new Promise<void>((resolve) => {
            done = resolve;
          });
          changed = { wait, done };
          return;
        }
        case 'head':
        case 'chunk':
        case 'end':
          relay.hear(message);
          return;
        case 'kept': {
          const { stopNo, kept } = message;
          if (kept.written !== null) {
            unkept.delete(stopNo);
            for (const target of targets) target.storeKnows(stopNo);
          }
          keeping.get(stopNo)?.(kept);
          return;
        }
        case 'socket':
          rmSync(message.path, { force: true });
          socket.listen(message.path);
          return;
        case 'close':
          void Promise.all([page, socket].map(closeServer)).then(() => tell({ kind: 'closed' }));
      }
    },
  };
}

function closeServer(server: Server): Promise<void> {
  return new Promise((resolve) => {
    server.close(() => resolve());
    server.closeAllConnections();
  });
}

/** What the daemon itself needs: database, outputs, threads, files that are open for a moment. */
const RESERVED_DESCRIPTORS = 120;
const MIN_CONNECTIONS = 8;
const MAX_CONNECTIONS = 400;

/** How many connections a page may hold, so that descriptors are left for stopping water. */
export function maxConnections(limits: string | null): number {
  const soft = Number(
    /^Max open files\s+(\d+)/m.exec(limits ?? '')?.[1] ?? Number.POSITIVE_INFINITY,
  );
  return Math.max(
    MIN_CONNECTIONS,
    Math.min(MAX_CONNECTIONS, Math.floor((soft - RESERVED_DESCRIPTORS) / 2)),
  );
}

/** The limits of this process as Linux tells them; null elsewhere. */
function processLimits(): string | null {
  try {
    return readFileSync('/proc/self/limits', 'utf8');
  } catch {
    return null;
  }
}

/**
 * Caps the connections of a server. When all are taken, the oldest that asks for nothing goes, so
 * that whoever comes to stop water is let in.
 */
export function capConnections(server: Server, most: number): void {
  const asking = new Map<Socket, number>();
  server.on('connection', (socket: Socket) => {
    asking.set(socket, 0);
    socket.once('close', () => asking.delete(socket));
    if (asking.size <= most) return;
    const idle = [...asking].find(([other, requests]) => other !== socket && requests === 0);
    (idle?.[0] ?? socket).destroy();
  });
  server.on('request', (request, reply) => {
    const { socket } = request;
    asking.set(socket, (asking.get(socket) ?? 0) + 1);
    reply.once('close', () => {
      const requests = asking.get(socket);
      if (requests !== undefined) asking.set(socket, Math.max(0, requests - 1));
    });
  });
}

/** A way to stop an output that runs in another thread, over a port that does nothing else. */
interface PortTarget extends StopTarget {
  storeKnows(stopNo: number): void;
  close(): void;
}

export function portTarget(name: string, port: MessagePort): PortTarget {
  const waiting = new Map<number, (answer: Answer) => void>();
  let lastId = 0;
  const send = (message: ToStopPort) => port.postMessage(message);
  port.on('message', ({ id, answer }: FromStopPort) => {
    waiting.get(id)?.(answer);
    waiting.delete(id);
  });
  port.on('close', () => {
    const answer: Answer = { kind: 'unknown', detail: 'its thread has ended' };
    for (const settle of waiting.values()) settle(answer);
    waiting.clear();
  });
  return {
    name,
    stopNow(asked: StopNow) {
      lastId += 1;
      const id = lastId;
      send({ id, asked });
      return new Promise((resolve) => waiting.set(id, resolve));
    },
    storeKnows: (stopNo) => send({ storeKnows: stopNo }),
    close: () => port.close(),
  };
}
