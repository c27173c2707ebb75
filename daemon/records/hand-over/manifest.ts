import { createHash } from 'node:crypto';

/** Name of the manifest inside a package. */
export const MANIFEST = 'manifest.sha256';

/** A file of the package: its path with forward slashes, what it is, and its content. */
export interface PackageFile {
  path: string;
  what: string;
  content: string | Uint8Array;
}

export function sha256Of(content: string | Uint8Array): string {
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
export function readManifest(text: string): Map<string, string> | null {
  const lines = text.split('\n').filter((line) => line !== '');
  const entries = lines.map((line) => /^([0-9a-f]{64}) {2}(.+)$/.exec(line));
  if (lines.length === 0 || entries.some((entry) => entry === null)) return null;
  return new Map(
    entries.flatMap((entry) => (entry === null ? [] : [[entry[2] ?? '', entry[1] ?? '']])),
  );
}
