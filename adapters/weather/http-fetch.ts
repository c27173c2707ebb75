/** What asking an address gave. */
export type HttpAnswer =
  | { kind: 'fresh'; text: string; tags: HttpTags }
  | { kind: 'same' }
  | { kind: 'fault'; what: string; retryAfterS: number | null };

/** What the answer before said of itself, so that the same is not sent again. */
export interface HttpTags {
  etag: string | null;
  lastModified: string | null;
}

/** How an address is asked. */
export interface HttpQuestion {
  url: string;
  timeoutS: number;
  mostBytes: number;
  tags: HttpTags;
  stop: AbortSignal;
}

/** Asks once. Never throws: what goes wrong is a fault in words. */
export async function askHttp(question: HttpQuestion): Promise<HttpAnswer> {
  const { url, timeoutS, tags, stop } = question;
  const late = AbortSignal.timeout(timeoutS * 1000);
  try {
    const response = await fetch(url, {
      headers: {
        accept: 'application/json',
        'user-agent': 'dewbeat',
        ...(tags.etag === null ? {} : { 'if-none-match': tags.etag }),
        ...(tags.lastModified === null ? {} : { 'if-modified-since': tags.lastModified }),
      },
      signal: AbortSignal.any([late, stop]),
    });
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
