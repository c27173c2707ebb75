import { createHash, randomBytes } from 'node:crypto';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { isLoopback } from '../../../site/config/page-schema.ts';
import { pinMatches } from '../../../site/config/pin-hash.ts';
import type { Message } from '../../../words/language.ts';
import { sayToPage } from '../asked-language.ts';
import { bodyOf, Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import { ADDRESS_BUDGET, type BudgetedKey, CLIENT_BUDGET } from '../safety/pin-attempts.ts';
import { addressGroup } from '../safety/request-origin.ts';
import type { MeView } from '../views/action-view.ts';
import type { WebParts } from '../web-parts.ts';

const signInSchema = z.strictObject({
  name: z.string().trim().min(1).max(60),
  pin: z.string().min(1).max(64),
});

/** When a full queue may have room again. */
const FULL_S = 1;

/** Who is asking, signing in and signing out. */
export function signInRoutes(app: FastifyInstance, parts: WebParts, guard: Guard): void {
  const { config, steadyMs = () => performance.now() } = parts;
  const { people, address, stop_by_anyone: stopByAnyone } = config.page;
  const { attempts: tries, pins } = guard.signIns;
  // Beyond this machine names are told to nobody who has not signed in.
  const namesFor = (isKnown: boolean) =>
    isKnown || isLoopback(address) ? people.map((one) => one.name) : [];
  /** As the config has it now; the site's language where nobody has signed in. */
  const languageOf = (name: string | undefined) =>
    people.find((one) => one.name === name)?.language ?? config.language;
  const standInSalt = randomBytes(16);
  /**
   * A name that nobody has costs as long as a wrong PIN of somebody's, always the same one's, so that
   * names cannot be found by time.
   */
  const standIn = (name: string) => {
    const number = createHash('sha256').update(standInSalt).update(name.toLowerCase()).digest();
    return people[number.readUInt32BE() % people.length]?.pin ?? '';
  };

  app.get('/api/me', async (request): Promise<MeView> => {
    const person = guard.personOf(request);
    return {
      needsPin: people.length > 0,
      name: person?.name ?? null,
      role: person?.role ?? (people.length === 0 ? 'keeper' : null),
      language: languageOf(person?.name),
      leftMs: person === null ? null : guard.leftMs(person),
      names: namesFor(person !== null),
      stopByAnyone,
    };
  });

  app.post('/api/sign-in', async (request, reply): Promise<MeView> => {
    const { name, pin } = bodyOf(signInSchema, request.body);
    if (people.length === 0) {
      throw new Refused(404, 'no_people', { key: 'page_refused.no_people' });
    }
    const from = asker(request, name);
    const waitMs = tries.waitMs(from.counted, steadyMs());
    if (waitMs > 0) {
      const waitS = Math.ceil(waitMs / 1000);
      throw mustWait(reply, waitS, { key: 'page_refused.pin_wait', values: { s: waitS } });
    }
    // Counted before the PIN is looked at, so that many at once do not slip through together.
    const takeBack = tries.failed(from.counted, steadyMs());
    const person = people.find((one) => one.name.toLowerCase() === name.toLowerCase());
    const isRight = await pins.enter(from.place, () =>
      pinMatches(pin, person?.pin ?? standIn(name)),
    );
    if (isRight === null) {
      takeBack();
      throw mustWait(reply, FULL_S, { key: 'page_refused.sign_in_full' });
    }
    if (person === undefined || !isRight) {
      throw new Refused(401, 'wrong_pin', { key: 'page_refused.wrong_pin' });
    }
    // An address stays under watch for its other attempts, since others may guess from there.
    takeBack(from.addressKey);
    tries.cleared(from.askerKey);
    const leftMs = guard.signIn(request, reply, person);
    const { name: known, role, language } = person;
    const names = namesFor(true);
    return { needsPin: true, name: known, role, language, leftMs, names, stopByAnyone };
  });

  app.post('/api/sign-out', async (request, reply) => {
    guard.signOut(request, reply);
    return { line: sayToPage(request)('signed_out') };
  });

  /** A device that a person has signed in from has a budget of its own; all others count by address. */
  const asker = (request: FastifyRequest, name: string) => {
    const group = addressGroup(request.ip);
    const device = guard.deviceOf(request, name);
    const who = device === null ? `address ${group}` : `device ${device}`;
    const askerKey = `${who} name ${name.toLowerCase()}`;
    const addressKey = `address ${group}`;
    const counted: BudgetedKey[] = [{ key: askerKey, budget: CLIENT_BUDGET }];
    if (device === null) counted.push({ key: addressKey, budget: ADDRESS_BUDGET });
    return { counted, askerKey, addressKey, place: { isAhead: device !== null, group: who } };
  };
}

function mustWait(reply: FastifyReply, retryAfterS: number, told: Message): Refused {
  reply.header('retry-after', String(retryAfterS));
  return new Refused(429, 'too_many_attempts', told, { retryAfterS });
}
