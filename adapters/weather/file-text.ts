import { readFile, stat } from 'node:fs/promises';
import { type WeatherProblem, WeatherUnreadable } from './source.ts';

/** A weather file as text, and when it was last written. */
export interface FileText {
  text: string;
  modifiedMs: number;
}

/** What was made of a file, and whether it is the file as it is now. */
export interface FileReading<Made> {
  made: Made;
  /** Says so where the file cannot be read just now and what was read before stands in. */
  problems: WeatherProblem[];
}

interface Kept<Made> {
  version: string;
  modifiedMs: number;
  made: Made;
}

/**
 * A reader of one file that keeps what it made of it until the file changes, so that asking often
 * costs little while a station's new export is seen at once. A file that is away, empty or without
 * a row, as it is for a moment while a station writes it anew, falls back on what was last read.
 * @param name the file as the config writes it, for error texts.
 */
export function fileReader<Made>(path: string, name: string, make: (file: FileText) => Made) {
  let kept: Kept<Made> | null = null;
  return async (): Promise<FileReading<Made>> => {
    try {
      const found = await versionOf(path);
      if (kept?.version === found.version) return { made: kept.made, problems: [] };
      const made = make({ text: await textOf(path, name), modifiedMs: found.modifiedMs });
      // What was written while it was read may be half of each: the next look reads it again.
      const after = await versionOf(path);
      const version = after.version === found.version ? found.version : '';
      kept = { version, modifiedMs: found.modifiedMs, made };
      return { made, problems: [] };
    } catch (error) {
      const fault =
        error instanceof WeatherUnreadable
          ? error
          : new WeatherUnreadable(`${name}: ${whyNot(error)}`, { cause: error });
      if (kept === null) throw fault;
      const what = fault.message.replace(`${name}: `, '').split(';')[0] ?? '';
      const done = `what was last read stands in, written ${new Date(kept.modifiedMs).toISOString()}`;
      return { made: kept.made, problems: [{ where: name, what, done }] };
    }
  };
}

/** A file that was renamed over another has another inode, whatever its time and size. */
async function versionOf(path: string): Promise<{ version: string; modifiedMs: number }> {
  const { mtimeMs, ctimeMs, size, ino } = await stat(path);
  return { version: `${ino} ${mtimeMs} ${ctimeMs} ${size}`, modifiedMs: mtimeMs };
}

async function textOf(path: string, name: string): Promise<string> {
  const bytes = await readFile(path);
  const text = decode(bytes);
  if (text.trim() !== '') return text;
  throw new WeatherUnreadable(
    `${name}: the file is empty (got ${bytes.length} bytes); export it again`,
  );
}

/** UTF-8, or UTF-16 where its byte order mark stands; line ends become `\n`. */
export function decode(bytes: Uint8Array): string {
  const [first, second] = bytes;
  let encoding = 'utf-8';
  if (first === 0xff && second === 0xfe) encoding = 'utf-16le';
  if (first === 0xfe && second === 0xff) encoding = 'utf-16be';
  // The decoder drops the byte order mark and puts a mark in place of broken bytes.
  return new TextDecoder(encoding).decode(bytes).replace(/\r\n?/g, '\n');
}

function whyNot(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? error.code : undefined;
  if (code === 'ENOENT') return 'there is no such file (got ENOENT); check the path in the config';
  if (code === 'EISDIR') return 'this is a folder (got EISDIR); name the file inside it';
  if (code === 'EACCES' || code === 'EPERM') {
    return `the file may not be read (got ${code}); let the daemon's account read it`;
  }
  const got = error instanceof Error ? error.message : String(error);
  return `the file cannot be read (got ${got}); check the disk`;
}
