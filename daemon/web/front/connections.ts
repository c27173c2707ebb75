import { readFileSync } from 'node:fs';
import type { Server } from 'node:http';
import type { Socket } from 'node:net';

/** What the daemon itself needs: database, outputs, threads, files that are open for a moment. */
const KEPT_BACK = 120;
const LEAST = 8;
const MOST = 400;

/** How many connections a page may hold, so that descriptors are left for stopping water. */
export function mostConnections(limits: string | null): number {
  const soft = Number(
    /^Max open files\s+(\d+)/m.exec(limits ?? '')?.[1] ?? Number.POSITIVE_INFINITY,
  );
  return Math.max(LEAST, Math.min(MOST, Math.floor((soft - KEPT_BACK) / 2)));
}

/** The limits of this process as Linux tells them; null elsewhere. */
export function ownLimits(): string | null {
  try {
    return readFileSync('/proc/self/limits', 'utf8');
  } catch {
    return null;
  }
}

/**
 * Caps the connections of a server. When all are taken, the oldest that asks for nothing goes, so
 * that whoever comes to stop water is let in.
 */
export function capConnections(server: Server, most: number): void {
  const asking = new Map<Socket, number>();
  server.on('connection', (socket: Socket) => {
    asking.set(socket, 0);
    socket.once('close', () => asking.delete(socket));
    if (asking.size <= most) return;
    const idle = [...asking].find(([other, requests]) => other !== socket && requests === 0);
    (idle?.[0] ?? socket).destroy();
  });
  server.on('request', (request, reply) => {
    const { socket } = request;
    asking.set(socket, (asking.get(socket) ?? 0) + 1);
    reply.once('close', () => {
      const requests = asking.get(socket);
      if (requests !== undefined) asking.set(socket, Math.max(0, requests - 1));
    });
  });
}
