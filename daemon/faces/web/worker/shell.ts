/** Files without which the page does not open: nothing of the site stands in them. */
export const SHELL = ['/', '/page.css', '/page.js', '/icon.svg'] as const;

/**
 * Under which path of the shell a request is kept, or null for everything else: what the page reads
 * of the site, its news and its actions are none of the worker's business.
 */
export function shellPath(
  request: { method: string; url: string },
  origin: string,
): (typeof SHELL)[number] | null {
  if (request.method !== 'GET') return null;
  const url = new URL(request.url);
  if (url.origin !== origin) return null;
  const path = url.pathname === '/index.html' ? '/' : url.pathname;
  return SHELL.find((one) => one === path) ?? null;
}

/** Whether an answer is the daemon's; a proxy says with these that it found no daemon behind it. */
export function isDaemonsAnswer(status: number): boolean {
  return ![502, 503, 504].includes(status);
}
