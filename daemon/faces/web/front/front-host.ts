import { MessageChannel, type MessagePort, Worker } from 'node:worker_threads';
import type { FastifyInstance } from 'fastify';
import type { Logger } from 'pino';
import type { StoppableOutput } from '../../../../adapters/contract.ts';
import type { KeptStop, UnwrittenHold } from '../../../delivery/delivery-memory.ts';
import { listenForStops } from '../../../delivery/stop-now.ts';
import { entryBeside, isWritten } from '../../../delivery/thread-entry.ts';
import type { ThreadedOutput } from '../../../delivery/threaded-output.ts';
import type { PageKeeper, ServePage } from '../../../service/page-keeper.ts';
import type { LoadedConfig } from '../../../site/config/config.ts';
import { isLoopback } from '../../../site/config/page-schema.ts';
import { within } from '../../../within.ts';
import { sayToPage } from '../asked-language.ts';
import type { Sessions } from '../safety/sessions.ts';
import { startFront } from './front.ts';
import type { FromFront, FrontSettings, RelayedRequest, ToFront } from './front-messages.ts';

/** The daemon's side of the front. */
export interface FrontHost {
  /** Serves a page behind the front. */
  servePage: ServePage;
  /** Hands over the means to stop these outputs, in place of those before. */
  setOutputs(outputs: readonly StoppableOutput[]): void;
  /** Has water stopped as well over a socket that this machine's users of the data folder reach. */
  listenOn(path: string): void;
  end(): Promise<void>;
}

const LISTEN_PATIENCE_MS = 2_000;
const END_PATIENCE_MS = 1_000;

/** Starts the front in a thread of its own; it lives over every reload. */
export function startFrontHost(given: {
  log: Logger;
  signIns: Sessions;
  keepStop(stop: UnwrittenHold): KeptStop;
}): FrontHost {
  const { log, signIns } = given;
  const { send, end, hear } = isWritten(import.meta.url) ? frontHere() : frontBeside(log);
  let app: FastifyInstance | null = null;
  let served: Extract<FromFront, { kind: 'served' }> | null = null;
  let onServed = () => {};
  let onClosed = () => {};
  let told = '';
  const underWay = new Map<number, AbortController>();

  hear((message) => {
    switch (message.kind) {
      case 'request':
        void passOn(message.request);
        return;
      case 'gone':
        underWay.get(message.id)?.abort();
        return;
      case 'stop': {
        const { stopNo } = message.stop;
        const kept = given.keepStop({
          ...message.stop,
          onWritten: (written) => send({ kind: 'kept', stopNo, kept: { written, why: null } }),
        });
        if (kept.written === null) send({ kind: 'kept', stopNo, kept });
        return;
      }
      case 'served':
        served = message;
        if (message.why !== null && message.why !== told) {
          log.error(
            `page: cannot be served (got ${message.why}); free the port or name another page.port; going on without it and trying again`,
          );
        }
        if (message.why === null && told !== '')
          log.info({ page: message.url }, 'page: served again');
        told = message.why ?? '';
        onServed();
        return;
      case 'socket':
        if (message.why !== null) log.warn(`stop socket: cannot be had (got ${message.why})`);
        return;
      case 'closed':
        onClosed();
    }
  });
  signIns.onChange = () => send({ kind: 'signIns', signIns: signIns.list() });

  async function passOn({
    id,
    method,
    url,
    headers,
    body,
    remoteAddress,
  }: RelayedRequest): Promise<void> {
    const behind = app;
    if (behind === null) {
      send({
        kind: 'head',
        id,
        status: 503,
        headers: { 'content-type': 'application/json; charset=utf-8' },
      });
      const text = JSON.stringify({
        code: 'busy',
        message: sayToPage({ headers })('page_refused.starting'),
      });
      send({ kind: 'chunk', id, chunk: Buffer.from(text) });
      return send({ kind: 'end', id });
    }
    const abort = new AbortController();
    underWay.set(id, abort);
    try {
      const reply = await behind.inject({
        method: method as 'GET',
        url,
        headers,
        remoteAddress,
        ...(body === null ? {} : { payload: Buffer.from(body) }),
        payloadAsStream: true,
        signal: abort.signal,
      });
      send({ kind: 'head', id, status: reply.statusCode, headers: plain(reply.headers) });
      for await (const chunk of reply.stream())
        send({ kind: 'chunk', id, chunk: chunk as Uint8Array });
    } catch (error) {
      if (!abort.signal.aborted) log.error({ err: error }, 'page: could not answer');
    } finally {
      underWay.delete(id);
      send({ kind: 'end', id });
    }
  }

  const servePage: ServePage = async (make, place, { config }): Promise<PageKeeper> => {
    const behind = await make();
    await behind.ready();
    app = behind;
    served = null;
    const listening = new Promise<void>((resolve) => {
      onServed = resolve;
    });
    send({ kind: 'settings', settings: { ...settingsOf(config), ...place } });
    send({ kind: 'signIns', signIns: signIns.list() });
    await within(listening, LISTEN_PATIENCE_MS);
    return {
      url: () => served?.url ?? null,
      port: () => served?.port ?? null,
      changing: () => send({ kind: 'changing' }),
      async stop() {
        if (app === behind) app = null;
        for (const abort of underWay.values()) abort.abort();
        await within(behind.close(), END_PATIENCE_MS);
      },
    };
  };

  function setOutputs(outputs: readonly StoppableOutput[]): void {
    const targets = outputs.map((output) => {
      const { port1, port2 } = new MessageChannel();
      if (isThreaded(output)) {
        output.listenOn(port1);
        output.onBegunAgain = () => setOutputs(outputs);
      } else {
        listenForStops(output, port1);
        port1.unref();
      }
      return { name: output.name, port: port2 };
    });
    send(
      { kind: 'targets', targets },
      targets.map(({ port }) => port),
    );
  }

  return {
    servePage,
    setOutputs,
    listenOn: (path) => send({ kind: 'socket', path }),
    async end() {
      const closed = new Promise<void>((resolve) => {
        onClosed = resolve;
      });
      send({ kind: 'close' });
      await within(closed, END_PATIENCE_MS);
      await within(end(), END_PATIENCE_MS);
    },
  };
}

/** How the front is reached. */
interface FrontLink {
  send(message: ToFront, transfer?: readonly MessagePort[]): void;
  hear(take: (message: FromFront) => void): void;
  end(): Promise<unknown>;
}

/** The front in a thread of its own, as a running daemon has it where the program was built. */
function frontBeside(log: Logger): FrontLink {
  const thread = new Worker(entryBeside(import.meta.url, 'front-thread'), { name: 'front' });
  thread.on('error', (error) =>
    log.error({ err: error }, 'page: its front has failed; start the daemon again'),
  );
  return {
    send: (message, transfer = []) => thread.postMessage(message, transfer),
    hear: (take) => thread.on('message', take),
    end: () => thread.terminate(),
  };
}

/** The front in this thread, where the program runs as it is written. */
function frontHere(): FrontLink {
  let take = (_message: FromFront) => {};
  const front = startFront((message) => setImmediate(() => take(message)), Date.now);
  return {
    send: (message) => front.hear(message),
    hear: (taker) => {
      take = taker;
    },
    end: async () => undefined,
  };
}

function isThreaded(output: StoppableOutput): output is ThreadedOutput {
  return 'listenOn' in output;
}

function settingsOf({ site, page }: LoadedConfig): Omit<FrontSettings, 'address' | 'port'> {
  return {
    siteId: site.id,
    bedIds: site.beds.map(({ id }) => id),
    isLoopback: isLoopback(page.address),
    hosts: page.hosts,
    proxies: page.proxies,
    hasPeople: page.people.length > 0,
    stopByAnyone: page.stop_by_anyone,
  };
}

/** Headers as they go over to the front, which has a connection of its own. */
function plain(
  headers: NodeJS.Dict<number | string | string[]>,
): Record<string, string | string[]> {
  return Object.fromEntries(
    Object.entries(headers).flatMap(([name, value]) =>
      value === undefined || OWN_OF_A_CONNECTION.has(name)
        ? []
        : [[name, typeof value === 'number' ? String(value) : value]],
    ),
  );
}

const OWN_OF_A_CONNECTION = new Set(['connection', 'keep-alive', 'transfer-encoding', 'date']);
