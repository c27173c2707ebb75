import { deflateSync, inflateSync } from 'node:zlib';
import type { WeatherMemory } from './source.ts';

/** What asking an address gave. */
type HttpAnswer =
  | { kind: 'fresh'; text: string; tags: HttpTags }
  | { kind: 'same' }
  | { kind: 'fault'; what: string; retryAfterS: number | null };

/** What the answer before said of itself, so that the same is not sent again. */
export interface HttpTags {
  etag: string | null;
  lastModified: string | null;
}

/** How an address is asked. */
interface HttpQuestion {
  url: string;
  timeoutS: number;
  mostBytes: number;
  tags: HttpTags;
  stop: AbortSignal;
}

/** Followed one after another; more is a circle. */
const MOST_REDIRECTS = 3;
const REDIRECTS: ReadonlySet<number> = new Set([301, 302, 303, 307, 308]);

/**
 * Asks once, within one deadline for all of it. Never throws: what goes wrong is a fault in words. A
 * redirect is followed on the same host alone and never to a weaker scheme: elsewhere nobody has
 * said that weather may come from, and the address may carry a key.
 */
export async function askHttp(question: HttpQuestion): Promise<HttpAnswer> {
  const { timeoutS, tags, stop } = question;
  const late = AbortSignal.timeout(timeoutS * 1000);
  try {
    let url = new URL(question.url);
    const ask = () =>
      fetch(url, {
        headers: {
          accept: 'application/json',
          'user-agent': 'dewbeat',
          ...(tags.etag === null ? {} : { 'if-none-match': tags.etag }),
          ...(tags.lastModified === null ? {} : { 'if-modified-since': tags.lastModified }),
        },
        redirect: 'manual',
        signal: AbortSignal.any([late, stop]),
      });
    let response = await ask();
    for (let followed = 0; REDIRECTS.has(response.status); followed++) {
      await response.body?.cancel();
      const to = redirectOf(url, response.headers.get('location'));
      if (typeof to === 'string') return fault(to);
      if (followed === MOST_REDIRECTS) {
        return fault(`it sends from one address to the next (got more than ${MOST_REDIRECTS})`);
      }
      url = to;
      response = await ask();
    }
    if (response.status === 304) {
      await response.body?.cancel();
      return { kind: 'same' };
    }
    if (response.status !== 200) {
      await response.body?.cancel();
      const retryAfterS = retryAfter(response.headers.get('retry-after'));
      return fault(`it answers with ${response.status} ${response.statusText}`.trim(), retryAfterS);
    }
    const text = await shortText(response, question.mostBytes);
    if (text === null) return fault(`its answer is longer than ${question.mostBytes} bytes`);
    const { headers } = response;
    return {
      kind: 'fresh',
      text,
      tags: { etag: headers.get('etag'), lastModified: headers.get('last-modified') },
    };
  } catch (error) {
    if (late.aborted) return fault(`it does not answer within ${timeoutS} s`);
    return fault(whyNot(error));
  }
}

/** Where a redirect leads, or why it is not followed. */
function redirectOf(from: URL, location: string | null): URL | string {
  const base = from.href;
  const to = location !== null && URL.canParse(location, base) ? new URL(location, base) : null;
  if (to === null) return 'it sends elsewhere and does not say where (got no location)';
  const better = from.protocol === 'http:' && to.protocol === 'https:' && to.port === '';
  const same = to.protocol === from.protocol && to.port === from.port;
  if (to.hostname === from.hostname && (same || better)) return to;
  return `it sends to another host (got ${to.origin}); if that is right, set url to it`;
}

/** The body up to a length, counted as it comes: a compressed one can grow without end. */
async function shortText(response: Response, mostBytes: number): Promise<string | null> {
  const chunks: Uint8Array[] = [];
  let length = 0;
  for await (const chunk of response.body ?? []) {
    length += chunk.length;
    if (length > mostBytes) return null;
    chunks.push(chunk);
  }
  return new TextDecoder().decode(Buffer.concat(chunks));
}

/** Seconds that the server asks to wait; a date is left to the pause that is taken anyway. */
function retryAfter(header: string | null): number | null {
  return header !== null && /^\d{1,6}$/.test(header.trim()) ? Number(header) : null;
}

function fault(what: string, retryAfterS: number | null = null): HttpAnswer {
  return { kind: 'fault', what, retryAfterS };
}

function whyNot(error: unknown): string {
  const cause = error instanceof Error && error.cause instanceof Error ? error.cause : error;
  const code = cause instanceof Error && 'code' in cause ? String(cause.code) : '';
  if (code !== '') return `it cannot be reached (got ${code})`;
  return `it cannot be reached (got ${cause instanceof Error ? cause.message : String(cause)})`;
}

const FIRST_PAUSE_S = 60;
const LONGEST_PAUSE_S = 3600;

/**
 * Seconds until an address is asked again: the poll interval after an answer; after faults a
 * minute, then twice as long each time up to an hour, never longer than the poll interval, and
 * never sooner than the server asked for.
 */
export function nextPollS(given: {
  pollS: number;
  faults: number;
  retryAfterS: number | null;
}): number {
  const { pollS, faults, retryAfterS } = given;
  if (faults === 0) return pollS;
  const pauseS = Math.min(FIRST_PAUSE_S * 2 ** Math.min(faults - 1, 10), LONGEST_PAUSE_S, pollS);
  return Math.max(pauseS, Math.min(retryAfterS ?? 0, 86_400));
}

/** The last good answer of an address. */
export interface KeptAnswer {
  text: string;
  tags: HttpTags;
  /** When it was last fetched or found to be the same still. */
  asOfMs: number;
}

/** Answers compress to a fifth; the memory is only ever added to. */
export function rememberAnswer(
  memory: WeatherMemory | undefined,
  source: string,
  answer: KeptAnswer,
): void {
  const { text, tags, asOfMs } = answer;
  const body = deflateSync(text).toString('base64');
  memory?.remember(source, [{ atMs: asOfMs, content: JSON.stringify({ ...tags, body }) }]);
}

export function rememberSame(
  memory: WeatherMemory | undefined,
  source: string,
  atMs: number,
): void {
  memory?.remember(sameAs(source), [{ atMs, content: '' }]);
}

/** The last good answer before a restart; null where there is none or it cannot be read. */
export function recallAnswer(
  memory: WeatherMemory | undefined,
  source: string,
  mostBytes: number,
): KeptAnswer | null {
  try {
    const kept = memory?.newest(source) ?? null;
    if (kept === null) return null;
    const { body, etag, lastModified } = JSON.parse(kept.content) as HttpTags & { body: string };
    const bytes = inflateSync(Buffer.from(body, 'base64'), { maxOutputLength: mostBytes });
    const same = memory?.newest(sameAs(source))?.atMs ?? kept.atMs;
    return {
      text: bytes.toString('utf8'),
      tags: { etag, lastModified },
      asOfMs: Math.max(kept.atMs, same),
    };
  } catch {
    return null;
  }
}

function sameAs(source: string): string {
  return `${source} unchanged`;
}
