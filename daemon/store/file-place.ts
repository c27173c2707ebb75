import { statSync } from 'node:fs';

/** Which file a path leads to: two paths with the same device and inode are one file. */
export interface FilePlace {
  device: string;
  inode: string;
}

/** The file that a path leads to now, or null when there is none. */
export function placeOf(path: string): FilePlace | null {
  // Inode numbers of large file systems pass what a double holds exactly.
  const found = statSync(path, { bigint: true, throwIfNoEntry: false });
  return found === undefined ? null : { device: String(found.dev), inode: String(found.ino) };
}

export function isSamePlace(a: FilePlace | null, b: FilePlace | null): boolean {
  return a !== null && b !== null && a.device === b.device && a.inode === b.inode;
}
