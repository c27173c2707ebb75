import { deflateSync, inflateSync } from 'node:zlib';
import type { HttpTags } from './http-fetch.ts';
import type { WeatherMemory } from './source.ts';

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
