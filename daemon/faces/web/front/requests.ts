import type { IncomingMessage, ServerResponse } from 'node:http';
import { type Message, type Say, sayMessage } from '../../../words/language.ts';
import { sayToPage } from '../asked-language.ts';
import {
  ACTION_HEADER,
  FOREIGN_REQUEST,
  isKnownHost,
  isSameOrigin,
  unknownProxy,
  unknownProxyTold,
} from '../safety/request-origin.ts';
import type { FrontSettings } from './front-messages.ts';

/** More than the longest list of beds that a change can name. */
export const MAX_BODY_BYTES = 128 * 1024;

export function crossSiteRefusal(
  request: IncomingMessage,
  { isLoopback, hosts, proxies }: FrontSettings,
): ['unknown_proxy' | 'unknown_host' | 'foreign_request', Message] | null {
  const passedOn = unknownProxy(request.headers, { proxies });
  if (passedOn !== null) return ['unknown_proxy', unknownProxyTold(passedOn)];
  const { host, origin } = request.headers;
  const fetchSite = request.headers['sec-fetch-site'];
  if (!isKnownHost(host, { isLoopback, hosts })) {
    return ['unknown_host', { key: 'page_refused.unknown_host' }];
  }
  const isOwn = isSameOrigin({
    host,
    origin,
    fetchSite: typeof fetchSite === 'string' ? fetchSite : undefined,
  });
  if (isOwn && request.headers[ACTION_HEADER] !== undefined) return null;
  return ['foreign_request', FOREIGN_REQUEST];
}

/** Who is at the other end: a configured proxy is believed about it. */
export function addressOf(request: IncomingMessage, { proxies }: FrontSettings): string {
  const own = (request.socket.remoteAddress ?? '?').replace(/^::ffff:/, '');
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
      if (bytes > MAX_BODY_BYTES) return null;
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

/** Says no, in the language that was asked for. */
export function refuse(
  request: IncomingMessage,
  reply: ServerResponse,
  status: number,
  [code, told]: readonly [code: string, told: Message],
): void {
  send(reply, status, { code, message: sayMessage(told, sayToPage(request)) });
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

/** A stop as somebody asks for it. */
interface StopRequest {
  beds: 'all' | string[];
  who: string;
  why: string;
  untilMs: number | null;
}

const EXAMPLE = '{"beds":"all"}';
const MOST_BEDS = 2_000;
const MOST_ID = 64;
const MOST_WHO = 60;
const MOST_WHY = 200;

/**
 * Reads a stop. What is wrong with a name, a reason or a time does not keep it from being carried
 * out: only which beds are meant has to be clear.
 *
 * @returns The stop, or what is wrong with it.
 */
export function readStopRequest(text: string, say: Say): StopRequest | Message {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return { key: 'stop_request.no_json', values: { example: EXAMPLE } };
  }
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    return { key: 'stop_request.no_map', values: { example: EXAMPLE } };
  }
  const { beds, who, why, untilMs } = value as Record<string, unknown>;
  const named = Array.isArray(beds) ? beds.filter(isBedId).slice(0, MOST_BEDS) : [];
  if (beds !== 'all' && named.length === 0) return { key: 'stop_request.no_beds' };
  return {
    beds: beds === 'all' ? 'all' : named,
    who: words(who, MOST_WHO),
    why: words(why, MOST_WHY) || say('stop_request.no_reason'),
    untilMs: typeof untilMs === 'number' && Number.isSafeInteger(untilMs) ? untilMs : null,
  };
}

/**
 * Under which name a stop is written down: whoever has signed in, else whoever was given, marked
 * where people sign in and this one has not. Null: only those who have signed in may stop water here.
 */
export function whoStops(asking: {
  person: string | null;
  given: string;
  address: string;
  hasPeople: boolean;
  stopByAnyone: boolean;
  say: Say;
}): string | null {
  const { person, given, address, hasPeople, stopByAnyone, say } = asking;
  if (person !== null) return person;
  if (!hasPeople) return given === '' ? say('someone.at_page') : given;
  if (!stopByAnyone) return null;
  return given === ''
    ? say('someone.at_address', { address })
    : say('someone.not_signed_in', { name: given, address });
}

function isBedId(value: unknown): value is string {
  return typeof value === 'string' && value.length > 0 && value.length <= MOST_ID;
}

function words(value: unknown, most: number): string {
  if (typeof value !== 'string') return '';
  // Marks that turn a line round or steer a terminal are no part of a name or a reason.
  return value
    .replace(/[\p{Cc}\p{Cf}\s]+/gu, ' ')
    .trim()
    .slice(0, most)
    .trim();
}
