import { readFile, stat } from 'node:fs/promises';
import { WeatherUnreadable } from './source.ts';

/** A weather file as text, and when it was last written. */
export interface FileText {
  text: string;
  modifiedMs: number;
}

/**
 * A reader of one file that keeps what it made of it until the file's time or size changes, so
 * that asking often costs little while a station's new export is seen at once.
 * @param name the file as the config writes it, for error texts.
 */
export function fileReader<Made>(path: string, name: string, make: (file: FileText) => Made) {
  let kept: { modifiedMs: number; sizeBytes: number; made: Made } | null = null;
  return async (): Promise<Made> => {
    try {
      const { mtimeMs, size } = await stat(path);
      if (kept && kept.modifiedMs === mtimeMs && kept.sizeBytes === size) return kept.made;
      const text = decode(await readFile(path));
      if (text.trim() === '') {
        throw new WeatherUnreadable(
          `${name}: the file is empty (got ${size} bytes); export it again`,
        );
      }
      const made = make({ text, modifiedMs: mtimeMs });
      kept = { modifiedMs: mtimeMs, sizeBytes: size, made };
      return made;
    } catch (error) {
      if (error instanceof WeatherUnreadable) throw error;
      throw new WeatherUnreadable(`${name}: ${whyNot(error)}`, { cause: error });
    }
  };
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
