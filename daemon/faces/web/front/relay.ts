import type { IncomingMessage, ServerResponse } from 'node:http';
import { sayToPage } from '../asked-language.ts';
import type { FromFront, ToFront } from './front-messages.ts';
import { plainHeaders, refuse, send } from './requests.ts';

/** Requests that the page behind has not answered yet. */
const MAX_PENDING_REQUESTS = 200;
const HEAD_PATIENCE_MS = 25_000;
const READY_PATIENCE_MS = 2_000;
/** Whoever reads slower than this much is let go of. */
const MAX_UNREAD_BYTES = 4 * 2 ** 20;

type FromPage = Extract<ToFront, { kind: 'head' | 'chunk' | 'end' }>;

/** Passes requests on to the page behind the front, and its answers back. */
export interface Relay {
  passOn(request: IncomingMessage, reply: ServerResponse, body: Buffer): void;
  hear(message: FromPage): void;
}

/** A page that does not answer is said to be busy; nobody waits for it without an end. */
export function startRelay(tell: (message: FromFront) => void, siteId: () => string | null): Relay {
  let lastId = 0;
  const passed = new Map<number, ServerResponse>();
  const heads = new Map<number, () => void>();

  function passOn(request: IncomingMessage, reply: ServerResponse, body: Buffer): void {
    if (passed.size >= MAX_PENDING_REQUESTS) {
      refuse(request, reply, 503, ['busy', { key: 'page_refused.too_many' }]);
      return;
    }
    lastId += 1;
    const id = lastId;
    passed.set(id, reply);
    const isReady = (request.url ?? '').split('?')[0] === '/ready';
    const late = setTimeout(
      () => {
        forget(id);
        tell({ kind: 'gone', id });
        if (!isReady) {
          refuse(request, reply, 503, ['busy', { key: 'page_refused.no_answer' }]);
          return;
        }
        const text = sayToPage(request)('page_refused.daemon_mute');
        send(reply, 503, {
          ready: false,
          site: siteId(),
          reasons: [{ code: 'clockwork', text }],
        });
      },
      isReady ? READY_PATIENCE_MS : HEAD_PATIENCE_MS,
    );
    heads.set(id, () => clearTimeout(late));
    reply.once('close', () => {
      if (!passed.has(id)) return;
      forget(id);
      tell({ kind: 'gone', id });
    });
    tell({
      kind: 'request',
      request: {
        id,
        method: request.method ?? 'GET',
        url: request.url ?? '/',
        headers: plainHeaders(request.headers),
        body: body.byteLength === 0 ? null : new Uint8Array(body),
        remoteAddress: request.socket.remoteAddress ?? '',
      },
    });
  }

  function forget(id: number): void {
    heads.get(id)?.();
    heads.delete(id);
    passed.delete(id);
  }

  return {
    passOn,
    hear(message) {
      switch (message.kind) {
        case 'head': {
          const reply = passed.get(message.id);
          heads.get(message.id)?.();
          if (reply === undefined) return;
          reply.writeHead(message.status, message.headers);
          reply.flushHeaders();
          return;
        }
        case 'chunk': {
          const reply = passed.get(message.id);
          if (reply === undefined) return;
          reply.write(message.chunk);
          if (reply.writableLength > MAX_UNREAD_BYTES) reply.destroy();
          return;
        }
        case 'end': {
          const reply = passed.get(message.id);
          forget(message.id);
          reply?.end();
          return;
        }
      }
    },
  };
}
