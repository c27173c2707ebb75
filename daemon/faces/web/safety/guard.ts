import cookie from '@fastify/cookie';
import helmet from '@fastify/helmet';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { LoadedConfig } from '../../../site/config/config.ts';
import { isLoopback } from '../../../site/config/page-schema.ts';
import { sayToPage } from '../asked-language.ts';
import { whoStops } from '../front/requests.ts';
import { Refused } from '../refused.ts';
import {
  ACTION_HEADER,
  FOREIGN_REQUEST,
  isKnownHost,
  isSameOrigin,
  plainAddress,
  unknownProxy,
  unknownProxyTold,
} from './request-origin.ts';
import {
  DEVICE_COOKIE,
  DEVICE_COOKIE_S,
  type Person,
  SESSION_COOKIE,
  type Session,
  type Sessions,
} from './sessions.ts';

/** Who is asking, and what they may do. */
export interface Guard {
  /** The signed-in person, or null; null as well where no people are named. */
  personOf(request: FastifyRequest): Session | null;
  /** Milliseconds until a sign-in ends if its person does nothing more. */
  leftMs(session: Session): number;
  /** @throws Refused for one who has not signed in, where people are named. */
  mustLook(request: FastifyRequest): void;
  /** @throws Refused for one on another machine who has not signed in. */
  mustWatch(request: FastifyRequest): void;
  /**
   * The name under which an action is written down: the signed-in person's, or the one that was given.
   * @throws Refused without a name, or for a watcher.
   */
  mustAct(request: FastifyRequest, given: string | undefined): string;
  /**
   * The name under which a stop is written down: it is never refused for want of one, and a stop by
   * somebody who has not signed in is put down to their address.
   * @throws Refused where only those who have signed in may stop water.
   */
  mustStop(request: FastifyRequest, given: string | undefined): string;
  /** @returns Milliseconds until the sign-in ends if its person does nothing more. */
  signIn(request: FastifyRequest, reply: FastifyReply, person: Person): number;
  signOut(request: FastifyRequest, reply: FastifyReply): void;
  /** The device of a request, if a person of this name has signed in from it before. */
  deviceOf(request: FastifyRequest, name: string): string | null;
  signIns: Sessions;
}

/**
 * Puts the page's walls up: known hosts alone, actions from the page itself alone, no foreign code, no
 * frame around it, nothing kept in a cache, and people by their PIN where people are named.
 */
export async function guard(
  app: FastifyInstance,
  given: { page: LoadedConfig['page']; now(): number; signIns: Sessions },
): Promise<Guard> {
  const { page, now, signIns } = given;
  const isLocal = isLoopback(page.address);
  signIns.follow({ people: page.people, idleMs: page.idle * 60_000 });
  await app.register(cookie);
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:'],
        fontSrc: ["'self'"],
        connectSrc: ["'self'"],
        manifestSrc: ["'self'"],
        workerSrc: ["'self'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    crossOriginEmbedderPolicy: true,
    referrerPolicy: { policy: 'no-referrer' },
    strictTransportSecurity: page.https ? { maxAge: 15_552_000 } : false,
  });
  app.addHook('onRequest', async (request, reply) => {
    reply.header('cache-control', 'no-store');
    const passedOn = unknownProxy(request.headers, page);
    if (passedOn !== null) throw new Refused(403, 'unknown_proxy', unknownProxyTold(passedOn));
    if (!isKnownHost(request.host, { isLoopback: isLocal, hosts: page.hosts })) {
      throw new Refused(403, 'unknown_host', { key: 'page_refused.unknown_host' });
    }
    if (request.method === 'GET' || request.method === 'HEAD') return;
    const { origin } = request.headers;
    const fetchSite = request.headers['sec-fetch-site'];
    const isOwn = isSameOrigin({
      host: request.host,
      origin,
      fetchSite: typeof fetchSite === 'string' ? fetchSite : undefined,
    });
    if (!isOwn || request.headers[ACTION_HEADER] === undefined) {
      throw new Refused(403, 'foreign_request', FOREIGN_REQUEST);
    }
  });

  const tokenOf = (request: FastifyRequest) => request.cookies[SESSION_COOKIE];
  const personOf = (request: FastifyRequest) => {
    if (page.people.length === 0) return null;
    // An open page reads again and again by itself: that alone keeps nobody signed in.
    const isAction = request.method !== 'GET' && request.method !== 'HEAD';
    return signIns.find(tokenOf(request), now(), isAction);
  };
  const leftMs = (session: Session) => signIns.endMs(session) - now();
  const mustLook = (request: FastifyRequest) => {
    if (page.people.length > 0 && personOf(request) === null) {
      throw new Refused(401, 'sign_in', { key: 'page_refused.sign_in' });
    }
  };
  const mustWatch = (request: FastifyRequest) => {
    const path = request.url.split('?')[0];
    if (path === '/health') return;
    // Through a proxy everyone comes from this machine: there `ip` is the asker's own address.
    if (!isLoopback(request.ip.replace(/^::ffff:/, ''))) mustLook(request);
  };
  const cookieRules = {
    path: '/',
    httpOnly: true,
    sameSite: 'strict',
    secure: page.https,
  } as const;
  // Only a sign-in asks which device it is: no other request carries it.
  const deviceRules = { ...cookieRules, path: '/api/sign-in', maxAge: DEVICE_COOKIE_S };
  return {
    signIns,
    personOf,
    leftMs,
    mustLook,
    mustWatch,
    mustAct(request, who) {
      mustLook(request);
      const person = personOf(request);
      if (person === null) {
        const name = who?.trim() ?? '';
        if (name === '') throw new Refused(400, 'name_missing', { key: 'page_refused.no_name' });
        return name;
      }
      if (person.role === 'watcher') {
        const { name } = person;
        throw new Refused(403, 'watcher', { key: 'page_refused.watcher', values: { name } });
      }
      return person.name;
    },
    mustStop(request, given) {
      const who = whoStops({
        person: personOf(request)?.name ?? null,
        given: (given ?? '').replace(/[\p{Cc}\p{Cf}\s]+/gu, ' ').trim(),
        address: plainAddress(request.ip),
        hasPeople: page.people.length > 0,
        stopByAnyone: page.stop_by_anyone,
        say: sayToPage(request),
      });
      if (who === null) throw new Refused(401, 'sign_in', { key: 'page_refused.sign_in' });
      return who;
    },
    deviceOf: (request, name) => signIns.devices.find(request.cookies[DEVICE_COOKIE], name),
    signIn(request, reply, person) {
      const token = signIns.begin(person, now());
      reply.setCookie(SESSION_COOKIE, token, cookieRules);
      const device = signIns.devices.remember(request.cookies[DEVICE_COOKIE], person);
      reply.setCookie(DEVICE_COOKIE, device, deviceRules);
      const session = signIns.find(token, now(), true);
      return session === null ? 0 : leftMs(session);
    },
    signOut(request, reply) {
      signIns.end(tokenOf(request));
      reply.clearCookie(SESSION_COOKIE, cookieRules);
    },
  };
}
