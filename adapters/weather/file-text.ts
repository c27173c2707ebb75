import type { Stats } from 'node:fs';
import { stat } from 'node:fs/promises';
import { NotRegular, readRegular, shownSize, TooLarge } from '../regular-file.ts';
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

/** How a file is read as a whole. */
export interface WholeFile<Made> {
  path: string;
  /** The file as the config writes it, for error texts. */
  name: string;
  mostBytes: number;
  make(file: FileText): Promise<Made>;
}

/** A reader of a file as a whole, which may not be larger than told. See `keptReader`. */
export function fileReader<Made>({ path, name, mostBytes, make }: WholeFile<Made>) {
  return keptReader(path, name, async () => {
    const { text, modifiedMs } = await wholeText(path, name, mostBytes);
    return make({ text, modifiedMs });
  });
}

/**
 * A reader of one file that keeps what it made of it until the file changes, so that asking often
 * costs little while a station's new export is seen at once. A file that is away, empty or without
 * a row, as it is for a moment while a station writes it anew, falls back on what was last read.
 * Who asks while it is being read waits for the same reading.
 * @param name the file as the config writes it, for error texts.
 */
export function keptReader<Made>(path: string, name: string, make: () => Promise<Made>) {
  let kept: Kept<Made> | null = null;
  let reading: Promise<FileReading<Made>> | null = null;
  const read = async (): Promise<FileReading<Made>> => {
    try {
      const found = versionOf(await stat(path));
      if (kept?.version === found.version) return { made: kept.made, problems: [] };
      const made = await make();
      // What was written while it was read may be half of each: the next look reads it again.
      const after = versionOf(await stat(path));
      const version = after.version === found.version ? found.version : '';
      kept = { version, modifiedMs: found.modifiedMs, made };
      return { made, problems: [] };
    } catch (error) {
      const fault = unreadable(error, name);
      if (kept === null) throw fault;
      const what = fault.message.replace(`${name}: `, '').split(';')[0] ?? '';
      const done = `what was last read stands in, written ${new Date(kept.modifiedMs).toISOString()}`;
      return { made: kept.made, problems: [{ where: name, what, done }] };
    }
  };
  return (): Promise<FileReading<Made>> => {
    reading ??= read().finally(() => {
      reading = null;
    });
    return reading;
  };
}

/** A file that was renamed over another has another inode, whatever its time and size. */
export function versionOf(stats: Stats): { version: string; modifiedMs: number } {
  const { mtimeMs, ctimeMs, size, ino } = stats;
  return { version: `${ino} ${mtimeMs} ${ctimeMs} ${size}`, modifiedMs: mtimeMs };
}

/** @throws WeatherUnreadable when it is empty, or larger than told. */
export async function wholeText(path: string, name: string, mostBytes: number): Promise<FileText> {
  const { bytes, stats } = await readRegular(path, mostBytes);
  const text = decode(bytes);
  if (text.trim() !== '') return { text, modifiedMs: stats.mtimeMs };
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

/** Any fault of reading as one that says what to do. */
export function unreadable(error: unknown, name: string): WeatherUnreadable {
  if (error instanceof WeatherUnreadable) return error;
  return new WeatherUnreadable(`${name}: ${whyNot(error)}`, { cause: error });
}

function whyNot(error: unknown): string {
  if (error instanceof NotRegular) {
    if (error.kind === 'a folder') {
      return 'this is a folder (got EISDIR); name the file inside it';
    }
    return `this is no file that can be read again (got ${error.kind}); let the station write a file`;
  }
  if (error instanceof TooLarge) {
    return `the file is too large (got ${shownSize(error.gotBytes)}); keep the days that are wanted and leave the rest out`;
  }
  const code = error instanceof Error && 'code' in error ? error.code : undefined;
  if (code === 'ENOENT') return 'there is no such file (got ENOENT); check the path in the config';
  if (code === 'EACCES' || code === 'EPERM') {
    return `the file may not be read (got ${code}); let the daemon's account read it`;
  }
  const got = error instanceof Error ? error.message : String(error);
  return `the file cannot be read (got ${got}); check the disk`;
}
