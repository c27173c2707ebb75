import { isDaemonsAnswer, SHELL, shellPath } from './shell.ts';

declare const self: ServiceWorkerGlobalScope;

/** One cache for each build; the server writes the build's name in. */
const CACHE = 'dewbeat-shell __BUILD__';
/** A phone out of reach waits for an answer that never comes: no longer than this. */
const PATIENCE_MS = 5_000;

// A build begins with a shell that is whole, and at once takes the place of the one before.
self.addEventListener('install', (event) => event.waitUntil(keepShell()));
self.addEventListener('activate', (event) => event.waitUntil(dropOlder()));
self.addEventListener('fetch', (event) => {
  const path = shellPath(event.request, self.location.origin);
  if (path !== null) event.respondWith(networkFirst(event.request, path));
});

async function keepShell(): Promise<void> {
  const cache = await caches.open(CACHE);
  await cache.addAll(SHELL.map((path) => new Request(path, { cache: 'reload' })));
  await self.skipWaiting();
}

async function dropOlder(): Promise<void> {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name !== CACHE).map((name) => caches.delete(name)));
}

/** The daemon's file; the kept one only where no daemon answers. */
async function networkFirst(request: Request, path: string): Promise<Response> {
  const answer = await answerOf(request);
  if (answer !== null && isDaemonsAnswer(answer.status)) return answer;
  const kept = await caches.match(path, { cacheName: CACHE, ignoreVary: true });
  return kept ?? answer ?? Response.error();
}

async function answerOf(request: Request): Promise<Response | null> {
  const patience = new AbortController();
  // Over as soon as an answer begins: a slow one is read to its end.
  const timer = setTimeout(() => patience.abort(), PATIENCE_MS);
  try {
    return await fetch(request, { signal: patience.signal });
  } catch {
    return null;
  } finally {
    clearTimeout(timer);
  }
}
