import { createHash, randomBytes } from 'node:crypto';

/** Name of the cookie by which a device is known again; it opens nothing by itself. */
export const DEVICE_COOKIE = 'dewbeat_device';
/** As long as browsers keep a cookie. */
export const DEVICE_COOKIE_S = 400 * 86_400;

/** Devices that one person signs in from; the one that was used longest ago goes first. */
const MOST_OF_A_PERSON = 20;
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
export interface KnownDevices {
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
        if (devices.size <= MOST_OF_A_PERSON) break;
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

function hashOf(token: string): string {
  return createHash('sha256').update(token).digest('hex');
}
