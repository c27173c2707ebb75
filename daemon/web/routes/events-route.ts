import type { FastifyInstance, FastifyReply } from 'fastify';
import { storeVersion } from '../../store/version.ts';
import { Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import type { WebParts } from '../web-parts.ts';

/** The store is looked at this often: a row of the command line shows no later. */
const LOOK_MS = 1000;
/** A line without meaning, so that a broken connection is noticed on both sides. */
const BEAT_MS = 15_000;
const MOST_LISTENERS = 100;

/**
 * Tells open pages when something has changed, by server-sent events: `event: changed` with the
 * version that a fresh reading will carry. The page then reads again.
 */
export function eventsRoute(app: FastifyInstance, parts: WebParts, guard: Guard): void {
  const listeners = new Map<FastifyReply, { mayListen(): boolean; beatMs: number }>();
  let told = '';
  let timer: NodeJS.Timeout | null = null;

  const end = (reply: FastifyReply) => {
    listeners.delete(reply);
    reply.raw.end();
    if (listeners.size === 0 && timer !== null) {
      clearInterval(timer);
      timer = null;
    }
  };
  const look = () => {
    if (!parts.db.open) return;
    const version = storeVersion(parts.db);
    const isNew = version !== told;
    told = version;
    for (const [reply, listener] of listeners) {
      if (!listener.mayListen()) {
        end(reply);
        continue;
      }
      if (isNew) reply.raw.write(message(version));
      listener.beatMs += LOOK_MS;
      if (listener.beatMs < BEAT_MS) continue;
      listener.beatMs = 0;
      reply.raw.write(': still here\n\n');
    }
  };

  app.get('/api/events', async (request, reply) => {
    guard.mustLook(request);
    if (listeners.size >= MOST_LISTENERS) {
      throw new Refused(503, 'too_many_pages', 'page: is open too often; close some and reload');
    }
    const version = storeVersion(parts.db);
    if (listeners.size === 0) told = version;
    reply.hijack();
    reply.raw.writeHead(200, {
      ...(reply.getHeaders() as Record<string, string>),
      'content-type': 'text/event-stream; charset=utf-8',
      'x-accel-buffering': 'no',
    });
    reply.raw.write(`retry: 2000\n\n${message(version)}`);
    const mayListen = () => {
      try {
        guard.mustLook(request);
        return true;
      } catch {
        return false;
      }
    };
    listeners.set(reply, { mayListen, beatMs: 0 });
    timer ??= setInterval(look, LOOK_MS);
    request.raw.on('close', () => end(reply));
  });

  app.addHook('preClose', async () => {
    for (const reply of listeners.keys()) end(reply);
  });
}

function message(version: string): string {
  return `event: changed\ndata: ${JSON.stringify({ version })}\n\n`;
}
