import { createHash } from 'node:crypto';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join, sep } from 'node:path';
import { StoreFault } from '../../../site/store/store-faults.ts';

/**
 * Writes a package beside its place, checks it there, and gives it its name last: what has the name
 * is whole.
 *
 * @throws StoreFault when something stands there already, or it cannot be written.
 */
export function writePackage(folder: string, files: readonly PackageFile[]): PackageCheck {
  if (existsSync(folder)) {
    throw new StoreFault(
      `${folder}: exists already, and nothing is written over; name a folder that does not exist`,
    );
  }
  let draft: string | null = null;
  try {
    mkdirSync(dirname(folder), { recursive: true });
    draft = mkdtempSync(join(dirname(folder), `.${basename(folder)}-`));
    for (const { path, content } of files) {
      const file = join(draft, ...path.split('/'));
      mkdirSync(dirname(file), { recursive: true });
      writeFileSync(file, content, { flag: 'wx' });
    }
    const check = checkPackage(draft);
    if (check.problems.length > 0) {
      throw new Error(check.problems.map(({ path, code }) => `${path} ${code}`).join('; '));
    }
    renameSync(draft, folder);
    return check;
  } catch (error) {
    if (draft !== null) rmSync(draft, { recursive: true, force: true });
    const what = error instanceof Error ? error.message : String(error);
    throw new StoreFault(
      `${folder}: cannot be written (got ${what}); free some disk space, or name another folder`,
    );
  }
}

export interface PackageCheck {
  files: number;
  bytes: number;
  /** What does not fit the manifest; empty: all of it does. */
  problems: PackageProblem[];
}

/** A file that is not as the manifest says, by its path in the package. */
export interface PackageProblem {
  code: 'no_manifest' | 'bad_manifest' | 'missing' | 'changed' | 'not_listed';
  path: string;
}

/** Holds a package's files against its manifest: changed, missing, and added ones. */
export function checkPackage(folder: string): PackageCheck {
  const manifest = join(folder, MANIFEST);
  if (!existsSync(manifest)) {
    return { files: 0, bytes: 0, problems: [{ code: 'no_manifest', path: MANIFEST }] };
  }
  const told = readManifest(readFileSync(manifest, 'utf8'));
  if (told === null) {
    return { files: 0, bytes: 0, problems: [{ code: 'bad_manifest', path: MANIFEST }] };
  }
  const there = filesIn(folder).filter((path) => path !== MANIFEST);
  const problems: PackageProblem[] = [];
  let bytes = 0;
  for (const [path, digest] of told) {
    if (!there.includes(path)) {
      problems.push({ code: 'missing', path });
      continue;
    }
    const content = readFileSync(join(folder, ...path.split('/')));
    bytes += content.byteLength;
    if (sha256Of(content) !== digest) problems.push({ code: 'changed', path });
  }
  for (const path of there) {
    if (!told.has(path)) problems.push({ code: 'not_listed', path });
  }
  return { files: told.size, bytes, problems };
}

/** Paths of regular files below a folder, with forward slashes. */
function filesIn(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((path) => !statSync(join(folder, path)).isDirectory())
    .map((path) => path.split(sep).join('/'));
}

/** Name of the manifest inside a package. */
export const MANIFEST = 'manifest.sha256';

/**
 * A file of the package: its path with forward slashes, its content, and what README.txt says that it
 * is; empty where a folder's line says it.
 */
export interface PackageFile {
  path: string;
  what: string;
  content: string | Uint8Array;
}

function sha256Of(content: string | Uint8Array): string {
  return createHash('sha256').update(content).digest('hex');
}

/** One line a file, as common checksum programs read it: digest, two spaces, path. */
export function manifestText(files: readonly Pick<PackageFile, 'path' | 'content'>[]): string {
  return files
    .toSorted((a, b) => (a.path < b.path ? -1 : 1))
    .map(({ path, content }) => `${sha256Of(content)}  ${path}\n`)
    .join('');
}

/** Paths with their digests; null when the text is no manifest. */
function readManifest(text: string): Map<string, string> | null {
  const lines = text.split('\n').filter((line) => line !== '');
  const entries = lines.map((line) => /^([0-9a-f]{64}) {2}(.+)$/.exec(line));
  if (lines.length === 0 || entries.some((entry) => entry === null)) return null;
  return new Map(
    entries.flatMap((entry) => (entry === null ? [] : [[entry[2] ?? '', entry[1] ?? '']])),
  );
}
