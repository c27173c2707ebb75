import { createHash } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { brotliCompress, constants, gzip } from 'node:zlib';

/** Where the build puts the bundled page. */
export const ASSET_FOLDER = fileURLToPath(new URL('./page/', import.meta.url));

const TYPES: Readonly<Record<string, string>> = {
  html: 'text/html; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  css: 'text/css; charset=utf-8',
  svg: 'image/svg+xml',
  webmanifest: 'application/manifest+json',
};

/** The files of the page: a closed list, so that no path can lead out of their folder. */
const FILES = ['index.html', 'page.js', 'page.css', 'icon.svg', 'page.webmanifest'] as const;

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
  const assets = await Promise.all(there.map((name) => readAsset(folder, name)));
  return new Map(assets.map((asset) => [asset.name, asset]));
}

async function readAsset(folder: string, name: string): Promise<Asset> {
  const plain = readFileSync(join(folder, name));
  const digest = createHash('sha256').update(plain).digest('base64url').slice(0, 27);
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
    etag: `"${digest}"`,
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
  const taken = accepts
    .split(',')
    .map((one) => one.trim().toLowerCase())
    .filter((one) => !/;\s*q=0(\.0*)?$/.test(one))
    .map((one) => one.split(';')[0]);
  if (taken.includes('br')) return { body: asset.br, encoding: 'br' };
  if (taken.includes('gzip')) return { body: asset.gzip, encoding: 'gzip' };
  return { body: asset.plain, encoding: null };
}
