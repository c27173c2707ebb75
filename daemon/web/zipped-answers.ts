import { promisify } from 'node:util';
import { constants, gzip } from 'node:zlib';
import type { FastifyInstance } from 'fastify';
import { takesEncoding } from './assets.ts';

/** Shorter ones fit one packet as they are. */
const LEAST_BYTES = 1_400;

/**
 * Sends long answers zipped to those who take it: a day of many beds is ten times as long without,
 * and a phone at the far end of the course waits for every byte. None carries a secret that its
 * length could tell.
 */
export function zipAnswers(app: FastifyInstance): void {
  app.addHook('onSend', async (request, reply, body) => {
    if (typeof body !== 'string' || Buffer.byteLength(body) < LEAST_BYTES) return body;
    if (reply.getHeader('content-encoding') !== undefined) return body;
    reply.header('vary', 'accept-encoding');
    const { 'accept-encoding': accepts } = request.headers;
    if (!takesEncoding('gzip', typeof accepts === 'string' ? accepts : '')) return body;
    const zipped = await promisify(gzip)(body, { level: constants.Z_BEST_SPEED });
    reply.header('content-encoding', 'gzip').removeHeader('content-length');
    return zipped;
  });
}
