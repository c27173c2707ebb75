import { readFileSync } from 'node:fs';

/** A file's text, or in words why there is none. */
export type TextReading = { ok: true; text: string } | { ok: false; why: string };

/** Reads a small text file. */
export function readText(path: string): TextReading {
  try {
    return { ok: true, text: readFileSync(path, 'utf8') };
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    const words: Record<string, string> = {
      ENOENT: 'no such file',
      EACCES: 'no permission',
      EISDIR: 'a folder',
    };
    return { ok: false, why: words[code ?? ''] ?? code ?? 'a fault' };
  }
}

/** True for a plain map of keys. */
export function isMap(raw: unknown): raw is Record<string, unknown> {
  return typeof raw === 'object' && raw !== null && !Array.isArray(raw);
}
