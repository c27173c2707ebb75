import type { IncomingMessage, ServerResponse } from 'node:http';
import {
  ACTION_HEADER,
  isKnownHost,
  isSameOrigin,
  unknownProxy,
} from '../safety/request-origin.ts';
import type { FrontSettings } from './front-messages.ts';

/** More than the longest list of beds that a change can name. */
export const MOST_BODY_BYTES = 128 * 1024;

export function foreignRefusal(
  request: IncomingMessage,
  { isLoopback, hosts, proxies }: FrontSettings,
): ['unknown_proxy' | 'unknown_host' | 'foreign_request', string] | null {
  const passedOn = unknownProxy(request.headers, { proxies });
  if (passedOn !== null) return ['unknown_proxy', passedOn];
  const { host, origin } = request.headers;
  const fetchSite = request.headers['sec-fetch-site'];
  if (!isKnownHost(host, { isLoopback, hosts })) {
    return [
      'unknown_host',
      'page: is not reached under this name; use the address of this machine',
    ];
  }
  const isOwn = isSameOrigin({
    host,
    origin,
    fetchSite: typeof fetchSite === 'string' ? fetchSite : undefined,
  });
  if (isOwn && request.headers[ACTION_HEADER] !== undefined) return null;
  return [
    'foreign_request',
    `page: takes actions from its own page alone; send the header ${ACTION_HEADER}`,
  ];
}

/** Who is at the other end: a configured proxy is believed about it. */
export function addressOf(request: IncomingMessage, { proxies }: FrontSettings): string {
  const own = (request.socket.remoteAddress ?? 'an unknown address').replace(/^::ffff:/, '');
  const told = request.headers['x-forwarded-for'];
  if (!proxies.includes(own) || typeof told !== 'string') return own;
  return told.split(',').at(-1)?.trim() || own;
}

export async function bodyOf(request: IncomingMessage): Promise<Buffer | null> {
  const chunks: Buffer[] = [];
  let bytes = 0;
  try {
    for await (const chunk of request as AsyncIterable<Buffer>) {
      bytes += chunk.byteLength;
      if (bytes > MOST_BODY_BYTES) return null;
      chunks.push(chunk);
    }
  } catch {
    // Whoever asked has gone.
    return Buffer.alloc(0);
  }
  return Buffer.concat(chunks);
}

export function plainHeaders(
  headers: IncomingMessage['headers'],
): Record<string, string | string[]> {
  return Object.fromEntries(
    Object.entries(headers).flatMap(([name, value]) =>
      value === undefined ? [] : [[name, value]],
    ),
  );
}

export function cookieOf(request: IncomingMessage, name: string): string | null {
  for (const part of (request.headers.cookie ?? '').split(';')) {
    const [key, ...value] = part.trim().split('=');
    if (key === name) return value.join('=');
  }
  return null;
}

export function refuse(reply: ServerResponse, status: number, code: string, message: string): void {
  send(reply, status, { code, message });
}

export function send(reply: ServerResponse, status: number, body: object): void {
  if (reply.headersSent) return void reply.destroy();
  reply.writeHead(status, {
    'content-type': 'application/json; charset=utf-8',
    'cache-control': 'no-store',
    'x-content-type-options': 'nosniff',
  });
  reply.end(JSON.stringify(body));
}
