import { createHash } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { brotliCompress, constants, gzip } from 'node:zlib';
import type { FastifyInstance } from 'fastify';

/** Where the build puts the bundled page. */
const ASSET_FOLDER = fileURLToPath(new URL('./page/', import.meta.url));

const TYPES: Readonly<Record<string, string>> = {
  html: 'text/html; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  css: 'text/css; charset=utf-8',
  svg: 'image/svg+xml',
};

/** The files of the page: a closed list, so that no path can lead out of their folder. */
const FILES = ['index.html', 'page.js', 'page.css', 'icon.svg', 'worker.js'] as const;

/** Stands where a file names its build: by that a browser knows a new page from the one it keeps. */
const BUILD_MARK = '__BUILD__';
const NAMES_BUILD: readonly string[] = ['index.html', 'worker.js'];

/** A file of the page, ready to send. */
export interface Asset {
  name: string;
  type: string;
  etag: string;
  plain: Buffer;
  gzip: Buffer;
  br: Buffer;
}

/** The bundled page in memory, compressed once; null while the page was not built. */
export async function readAssets(folder = ASSET_FOLDER): Promise<Map<string, Asset> | null> {
  if (!['index.html', 'page.js'].every((name) => existsSync(join(folder, name)))) return null;
  const there = FILES.filter((name) => existsSync(join(folder, name)));
  const files = there.map((name) => ({ name, plain: readFileSync(join(folder, name)) }));
  const build = digestOf(Buffer.concat(files.map(({ plain }) => plain)));
  const assets = await Promise.all(
    files.map(({ name, plain }) =>
      ready(
        name,
        NAMES_BUILD.includes(name)
          ? Buffer.from(plain.toString().replaceAll(BUILD_MARK, build))
          : plain,
      ),
    ),
  );
  return new Map(assets.map((asset) => [asset.name, asset]));
}

function digestOf(bytes: Buffer): string {
  return createHash('sha256').update(bytes).digest('base64url').slice(0, 27);
}

async function ready(name: string, plain: Buffer): Promise<Asset> {
  const [zipped, brotli] = await Promise.all([
    promisify(gzip)(plain, { level: 9 }),
    promisify(brotliCompress)(plain, {
      params: {
        [constants.BROTLI_PARAM_QUALITY]: 9,
        [constants.BROTLI_PARAM_SIZE_HINT]: plain.length,
      },
    }),
  ]);
  return {
    name,
    type: TYPES[name.split('.').at(-1) ?? ''] ?? 'application/octet-stream',
    etag: `"${digestOf(plain)}"`,
    plain,
    gzip: zipped,
    br: brotli,
  };
}

/** The body that a browser takes, by what it says that it accepts. */
export function encoded(
  asset: Asset,
  accepts: string,
): { body: Buffer; encoding: 'br' | 'gzip' | null } {
  if (takesEncoding('br', accepts)) return { body: asset.br, encoding: 'br' };
  if (takesEncoding('gzip', accepts)) return { body: asset.gzip, encoding: 'gzip' };
  return { body: asset.plain, encoding: null };
}

/** Whether an accept-encoding header takes an encoding. */
function takesEncoding(encoding: 'br' | 'gzip', accepts: string): boolean {
  return accepts
    .split(',')
    .map((one) => one.trim().toLowerCase())
    .filter((one) => !/;\s*q=0(\.0*)?$/.test(one))
    .some((one) => one.split(';')[0] === encoding);
}

/** Shorter ones fit one packet as they are. */
const MIN_COMPRESSED_BYTES = 1_400;

/**
 * Sends long answers zipped to those who take it: a day of many beds is ten times as long without,
 * and a phone at the far end of the course waits for every byte. None carries a secret that its
 * length could tell.
 */
export function compressReplies(app: FastifyInstance): void {
  app.addHook('onSend', async (request, reply, body) => {
    if (typeof body !== 'string' || Buffer.byteLength(body) < MIN_COMPRESSED_BYTES) return body;
    if (reply.getHeader('content-encoding') !== undefined) return body;
    reply.header('vary', 'accept-encoding');
    const { 'accept-encoding': accepts } = request.headers;
    if (!takesEncoding('gzip', typeof accepts === 'string' ? accepts : '')) return body;
    const zipped = await promisify(gzip)(body, { level: constants.Z_BEST_SPEED });
    reply.header('content-encoding', 'gzip').removeHeader('content-length');
    return zipped;
  });
}
