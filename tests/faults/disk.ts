import { damage } from './damage.ts';
import { fullDisk, whyNoSmallDisk } from './full-disk.ts';

/** A real daemon on a disk that fills, that may only be read, and on a damaged memory. */
export async function disk(): Promise<{ lines: string[]; isGood: boolean }> {
  const broken: string[] = [];
  const note = (what: string) => broken.push(what);
  const why = whyNoSmallDisk();
  const parts = await Promise.all([
    why === null ? fullDisk(note) : [`full and read-only disk: left out (${why})`],
    damage(note),
  ]);
  return {
    lines: [
      ...parts.flat(),
      `broken promises: ${broken.length}`,
      ...broken.slice(0, 20).map((what) => `  ${what}`),
    ],
    isGood: broken.length === 0,
  };
}
