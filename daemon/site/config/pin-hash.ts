import { randomBytes, scrypt, timingSafeEqual } from 'node:crypto';

/** What a guess costs. */
interface ScryptCost {
  N: number;
  r: number;
  p: number;
}

/** About a tenth of a second and 32 MiB. */
const COST: ScryptCost = { N: 2 ** 15, r: 8, p: 1 };
const MOST_MEMORY = 128 * 2 ** 20;
const KEY_BYTES = 32;
const PATTERN = /^scrypt:(\d{4,7}):(\d{1,2}):(\d{1,2}):([A-Za-z0-9_-]{22,}):([A-Za-z0-9_-]{43})$/;

/** Shortest PIN that is taken. */
export const LEAST_PIN = 6;

/** Cost of a guess, `N` times `r` times `p`: a quarter and four times that of `dewbeat pin`. */
const LEAST_WORK = 2 ** 16;
const MOST_WORK = 2 ** 20;
/** `N` times `r`, of 128 bytes each. */
const MOST_BLOCKS = 2 ** 19;

/** What is wrong with a PIN's hash, and what to do; null: nothing. */
export function pinHashFault(text: string): string | null {
  const makeOne = 'make one with `dewbeat pin`';
  const [, ...cost] = PATTERN.exec(text) ?? [];
  const [N = 0, r = 0, p = 0] = cost.map(Number);
  if (!PATTERN.test(text)) return `is no hash of a PIN; ${makeOne}`;
  if (!Number.isInteger(Math.log2(N)) || r < 1 || p < 1) {
    return `has a cost that scrypt does not know; ${makeOne}`;
  }
  if (N * r > MOST_BLOCKS || N * r * p > MOST_WORK) {
    return `asks for more memory and time than a sign-in may take; ${makeOne}`;
  }
  return N * r * p < LEAST_WORK ? `is too cheap to guess; ${makeOne}` : null;
}

/**
 * The hash under which a PIN is kept: scrypt with a salt of its own (RFC 7914).
 * @param cost Of a guess; tests take less.
 * @throws RangeError when the PIN is too short.
 */
export async function pinHash(pin: string, cost: ScryptCost = COST): Promise<string> {
  if (pin.length < LEAST_PIN || pin.length > 64) {
    throw new RangeError(
      `PIN: must have ${LEAST_PIN} to 64 characters (got ${pin.length}); choose another one`,
    );
  }
  const salt = randomBytes(16);
  const key = await derive(pin, salt, cost);
  const { N, r, p } = cost;
  return `scrypt:${N}:${r}:${p}:${salt.toString('base64url')}:${key.toString('base64url')}`;
}

/** Whether a PIN is the one behind a hash; compares in constant time. */
export async function pinMatches(pin: string, hash: string): Promise<boolean> {
  const [, N, r, p, salt, key] = PATTERN.exec(hash) ?? [];
  if (salt === undefined || key === undefined) return false;
  const wanted = Buffer.from(key, 'base64url');
  const cost = { N: Number(N), r: Number(r), p: Number(p) };
  const given = await derive(pin.slice(0, 64), Buffer.from(salt, 'base64url'), cost);
  return wanted.length === given.length && timingSafeEqual(wanted, given);
}

function derive(pin: string, salt: Buffer, cost: ScryptCost): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    scrypt(
      pin.normalize('NFC'),
      salt,
      KEY_BYTES,
      { ...cost, maxmem: MOST_MEMORY },
      (error, key) => {
        if (error === null) resolve(key);
        else reject(error);
      },
    );
  });
}
