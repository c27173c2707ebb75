import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { isLoopback } from '../../config/page-schema.ts';
import { Refused } from '../refused.ts';
import { attempts } from '../safety/attempts.ts';
import type { Guard } from '../safety/guard.ts';
import { pinHash, pinMatches } from '../safety/pin-hash.ts';
import type { MeView } from '../views/change-view.ts';
import type { WebParts } from '../web-parts.ts';
import { bodyOf } from './body.ts';

const signInSchema = z.strictObject({
  name: z.string().trim().min(1).max(60),
  pin: z.string().min(1).max(64),
});

/** Who is asking, signing in and signing out. */
export function signInRoutes(app: FastifyInstance, parts: WebParts, guard: Guard): void {
  const { config, now } = parts;
  const { people, address } = config.page;
  // Beyond this machine names are told to nobody who has not signed in.
  const namesFor = (isKnown: boolean) =>
    isKnown || isLoopback(address) ? people.map((one) => one.name) : [];
  const tries = attempts();
  // A name that nobody has costs as long as a wrong PIN, so that names cannot be found by time.
  const nobody = pinHash(`nobody ${Math.random()}`);

  app.get('/api/me', async (request): Promise<MeView> => {
    const person = guard.personOf(request);
    return {
      needsPin: people.length > 0,
      name: person?.name ?? null,
      role: person?.role ?? (people.length === 0 ? 'keeper' : null),
      leftMs: person === null ? null : guard.leftMs(person),
      names: namesFor(person !== null),
    };
  });

  app.post('/api/sign-in', async (request, reply): Promise<MeView> => {
    const { name, pin } = bodyOf(signInSchema, request.body);
    if (people.length === 0) {
      throw new Refused(
        404,
        'no_people',
        'page: no people are named in the config; give a name with each change',
      );
    }
    const nameKey = `name ${name.toLowerCase()}`;
    const addressKey = `address ${request.ip}`;
    const keys = [nameKey, addressKey];
    const waitMs = tries.waitMs(keys, now());
    if (waitMs > 0) {
      const retryAfterS = Math.ceil(waitMs / 1000);
      reply.header('retry-after', String(retryAfterS));
      throw new Refused(
        429,
        'too_many_attempts',
        `PIN: wrong too often; wait ${retryAfterS} s, then try again`,
        {
          retryAfterS,
        },
      );
    }
    // Counted before the PIN is looked at, so that many at once do not slip through together.
    tries.failed(keys, now());
    const person = people.find((one) => one.name.toLowerCase() === name.toLowerCase());
    const isRight = await pinMatches(pin, person?.pin ?? (await nobody));
    if (person === undefined || !isRight) {
      throw new Refused(401, 'wrong_pin', 'name or PIN: is wrong; try again');
    }
    tries.cleared(nameKey);
    tries.takenBack(addressKey);
    const leftMs = guard.signIn(reply, person);
    return { needsPin: true, name: person.name, role: person.role, leftMs, names: namesFor(true) };
  });

  app.post('/api/sign-out', async (request, reply) => {
    guard.signOut(request, reply);
    return { line: 'Signed out.' };
  });
}
