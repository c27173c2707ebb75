import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join, sep } from 'node:path';
import { MANIFEST, readManifest, sha256Of } from './manifest.ts';

export interface PackageCheck {
  files: number;
  bytes: number;
  /** What does not fit the manifest, one line each; empty: all of it does. */
  problems: string[];
}

/** Holds a package's files against its manifest: changed, missing, and added ones. */
export function checkPackage(folder: string): PackageCheck {
  const manifest = join(folder, MANIFEST);
  if (!existsSync(manifest)) {
    return { files: 0, bytes: 0, problems: [`${MANIFEST}: is missing; this is no whole package`] };
  }
  const told = readManifest(readFileSync(manifest, 'utf8'));
  if (told === null) {
    return { files: 0, bytes: 0, problems: [`${MANIFEST}: is no manifest; it was changed`] };
  }
  const there = filesIn(folder).filter((path) => path !== MANIFEST);
  const problems: string[] = [];
  let bytes = 0;
  for (const [path, digest] of told) {
    if (!there.includes(path)) {
      problems.push(`${path}: is missing`);
      continue;
    }
    const content = readFileSync(join(folder, ...path.split('/')));
    bytes += content.byteLength;
    if (sha256Of(content) !== digest) problems.push(`${path}: was changed since it was written`);
  }
  for (const path of there) {
    if (!told.has(path)) problems.push(`${path}: is none of the package's files`);
  }
  return { files: told.size, bytes, problems };
}

/** Paths of regular files below a folder, with forward slashes. */
function filesIn(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((path) => !statSync(join(folder, path)).isDirectory())
    .map((path) => path.split(sep).join('/'));
}
