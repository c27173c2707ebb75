import { createHash, randomBytes } from 'node:crypto';
import { type Attempts, attempts, type PinQueue, pinQueue } from './pin-attempts.ts';

/** Name of the cookie that carries a sign-in. */
export const SESSION_COOKIE = 'dewbeat_session';

/** However busy, a sign-in ends after this. */
const LONGEST_MS = 14 * 24 * 3_600_000;
const MAX_SESSIONS = 500;

/** A person as the config names them. */
export interface Person {
  name: string;
  role: 'keeper' | 'watcher';
  /** Hash of their PIN. */
  pin: string;
}

/** A person who has signed in, as they were named then. */
export interface Session extends Person {
  sinceMs: number;
  lastMs: number;
}

/** Sign-ins of this process: they end with it, when idle, and when a person signs out. */
export interface Sessions {
  /**
   * Takes the rules of a config, at a start and at each reload. Whoever it does not name any more,
   * or names with another role or PIN, is signed out for good; the others stay signed in.
   */
  follow(rules: { people: readonly Person[]; idleMs: number }): void;
  /** @returns The token for the cookie; only its hash is remembered. */
  begin(person: Person, nowMs: number): string;
  /** The session of a token, or null; `isAction` puts off the idle end. */
  find(token: string | undefined, nowMs: number, isAction: boolean): Session | null;
  /** When a session ends if its person does nothing more, epoch ms. */
  endMs(session: Session): number;
  end(token: string | undefined): void;
  /** Who is signed in now, by the hash of their token. */
  list(): { hash: string; name: string; endMs: number }[];
  /** Called after every change of who is signed in, or until when. */
  onChange?: () => void;
  /** Wrong PINs so far: a reload forgets none. */
  attempts: Attempts;
  devices: KnownDevices;
  /** Where PINs wait to be worked out. */
  pins: PinQueue;
}

export function sessions(): Sessions {
  const byHash = new Map<string, Session>();
  const devices = knownDevices();
  let idleMs = 0;
  const endMs = ({ lastMs, sinceMs }: Session) => Math.min(lastMs + idleMs, sinceMs + LONGEST_MS);
  const isOver = (session: Session, nowMs: number) => nowMs >= endMs(session);
  const signIns: Sessions = {
    attempts: attempts(),
    devices,
    pins: pinQueue(),
    follow(rules) {
      idleMs = rules.idleMs;
      devices.follow(rules.people);
      for (const [hash, session] of byHash) {
        const isSame = rules.people.some(
          ({ name, role, pin }) =>
            name === session.name && role === session.role && pin === session.pin,
        );
        if (!isSame) byHash.delete(hash);
      }
      signIns.onChange?.();
    },
    begin({ name, role, pin }, nowMs) {
      for (const [hash, session] of byHash) if (isOver(session, nowMs)) byHash.delete(hash);
      for (const hash of byHash.keys()) {
        if (byHash.size < MAX_SESSIONS) break;
        byHash.delete(hash);
      }
      const token = randomBytes(32).toString('base64url');
      byHash.set(hashOf(token), { name, role, pin, sinceMs: nowMs, lastMs: nowMs });
      signIns.onChange?.();
      return token;
    },
    find(token, nowMs, isAction) {
      if (token === undefined) return null;
      const hash = hashOf(token);
      const session = byHash.get(hash);
      if (session === undefined) return null;
      if (isOver(session, nowMs)) {
        byHash.delete(hash);
        return null;
      }
      if (isAction) {
        session.lastMs = nowMs;
        signIns.onChange?.();
      }
      return session;
    },
    endMs,
    end(token) {
      if (token !== undefined) byHash.delete(hashOf(token));
      signIns.onChange?.();
    },
    list: () => [...byHash].map(([hash, one]) => ({ hash, name: one.name, endMs: endMs(one) })),
  };
  return signIns;
}

function hashOf(token: string): string {
  return createHash('sha256').update(token).digest('hex');
}

/** Name of the cookie by which a device is known again; it opens nothing by itself. */
export const DEVICE_COOKIE = 'dewbeat_device';
/** As long as browsers keep a cookie. */
export const DEVICE_COOKIE_S = 400 * 86_400;

/** Devices that one person signs in from; the one that was used longest ago goes first. */
const MAX_DEVICES_PER_PERSON = 20;
const TOKEN = /^[\w-]{43}$/;

interface Named {
  name: string;
  /** Hash of their PIN. */
  pin: string;
}

/**
 * The devices from which somebody has signed in with the right PIN. Who sits at one goes before
 * strangers, and is not kept waiting for what strangers typed.
 */
interface KnownDevices {
  /** What a device is called in here; null: nobody of this name has signed in from it. */
  find(token: string | undefined, name: string): string | null;
  /** Remembers that a person has signed in. @returns The token for the cookie, the same if it is known. */
  remember(token: string | undefined, person: Named): string;
  /** Forgets the devices of those who are named no more, or with another PIN. */
  follow(people: readonly Named[]): void;
}

export function knownDevices(): KnownDevices {
  /** By person, then by the token's hash; what was used last stands last. */
  const byName = new Map<string, { pin: string; devices: Set<string> }>();
  const isKnown = (hash: string) => [...byName.values()].some(({ devices }) => devices.has(hash));
  return {
    find(token, name) {
      if (token === undefined || !TOKEN.test(token)) return null;
      const hash = hashOf(token);
      return byName.get(name.toLowerCase())?.devices.has(hash) === true ? hash : null;
    },
    remember(token, { name, pin }) {
      // A token that was made elsewhere is not taken over.
      const own = token !== undefined && TOKEN.test(token) && isKnown(hashOf(token));
      const kept = own ? token : randomBytes(32).toString('base64url');
      const { devices } = byName.get(name.toLowerCase()) ?? { devices: new Set<string>() };
      devices.delete(hashOf(kept));
      devices.add(hashOf(kept));
      for (const oldest of devices) {
        if (devices.size <= MAX_DEVICES_PER_PERSON) break;
        devices.delete(oldest);
      }
      byName.set(name.toLowerCase(), { pin, devices });
      return kept;
    },
    follow(people) {
      for (const [key, { pin }] of byName) {
        const isSame = people.some((one) => one.name.toLowerCase() === key && one.pin === pin);
        if (!isSame) byName.delete(key);
      }
    },
  };
}
