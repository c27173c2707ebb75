import { createHash, randomBytes } from 'node:crypto';

/** Name of the cookie that carries a sign-in. */
export const SESSION_COOKIE = 'dewbeat_session';

/** However busy, a sign-in ends after this. */
const LONGEST_MS = 14 * 24 * 3_600_000;
const MOST_SESSIONS = 500;

/** A person who has signed in. */
export interface Session {
  name: string;
  role: 'keeper' | 'watcher';
  sinceMs: number;
  lastMs: number;
}

/** Sign-ins of this process: they end with it, when idle, and when a person signs out. */
export interface Sessions {
  /** @returns The token for the cookie; only its hash is remembered. */
  begin(person: Pick<Session, 'name' | 'role'>, nowMs: number): string;
  /** The session of a token, or null; `isDeed` puts off the idle end. */
  find(token: string | undefined, nowMs: number, isDeed: boolean): Session | null;
  end(token: string | undefined): void;
}

export function sessions(idleMs: number): Sessions {
  const byHash = new Map<string, Session>();
  const isOver = (session: Session, nowMs: number) =>
    nowMs - session.lastMs >= idleMs || nowMs - session.sinceMs >= LONGEST_MS;
  return {
    begin({ name, role }, nowMs) {
      for (const [hash, session] of byHash) if (isOver(session, nowMs)) byHash.delete(hash);
      for (const hash of byHash.keys()) {
        if (byHash.size < MOST_SESSIONS) break;
        byHash.delete(hash);
      }
      const token = randomBytes(32).toString('base64url');
      byHash.set(hashOf(token), { name, role, sinceMs: nowMs, lastMs: nowMs });
      return token;
    },
    find(token, nowMs, isDeed) {
      if (token === undefined) return null;
      const hash = hashOf(token);
      const session = byHash.get(hash);
      if (session === undefined) return null;
      if (isOver(session, nowMs)) {
        byHash.delete(hash);
        return null;
      }
      if (isDeed) session.lastMs = nowMs;
      return session;
    },
    end(token) {
      if (token !== undefined) byHash.delete(hashOf(token));
    },
  };
}

function hashOf(token: string): string {
  return createHash('sha256').update(token).digest('hex');
}
