/**
 * `fetch` on a connection of its own: a server closes a kept one after five quiet seconds, and one
 * that is used again in that very moment fails although nothing is wrong.
 *
 * @throws Error with the cause in its first line, where nobody answers
 */
export async function fetchAlone(url: string, init: RequestInit = {}): Promise<Response> {
  const headers = new Headers(init.headers);
  headers.set('connection', 'close');
  try {
    return await fetch(url, { ...init, headers });
  } catch (error) {
    const cause = error instanceof Error && error.cause instanceof Error ? error.cause : error;
    throw new Error(`fetch ${url}: ${cause instanceof Error ? cause.message : String(cause)}`, {
      cause: error,
    });
  }
}
