import { CROWDS } from './crowds.ts';
import { FROZEN } from './frozen.ts';
import { RECEIVERS } from './receivers.ts';
import { STORE_AND_SITE } from './store-and-site.ts';

const ADVERSARIES = [...FROZEN, ...RECEIVERS, ...STORE_AND_SITE, ...CROWDS];

/**
 * Every adversary of the stop, one after the other against the built daemon on loopback: how long
 * until the receivers had no runs, and what the person was told.
 */
export async function stop(asked: {
  only: string | undefined;
  onDone(name: string): void;
}): Promise<{ lines: string[]; isGood: boolean }> {
  const { only, onDone } = asked;
  const lines: string[] = [];
  const broken: string[] = [];
  for (const adversary of ADVERSARIES) {
    if (only !== undefined && !adversary.name.includes(only)) continue;
    lines.push(adversary.name);
    try {
      const tried = await adversary.try();
      for (const { what, measured, note } of tried.rows) {
        if (measured === null) {
          lines.push(`  ${what}: ${note}`);
          continue;
        }
        const { stoppedMs, toldMs, said } = measured;
        const gone = stoppedMs === null ? 'NEVER' : `${Math.round(stoppedMs)} ms`;
        lines.push(
          `  ${what}: no runs after ${gone}, told after ${Math.round(toldMs)} ms: ${said.replace(/\s+/g, ' ').slice(0, 400)}`,
        );
      }
      broken.push(...tried.broken);
    } catch (error) {
      broken.push(`${adversary.name}: ${error instanceof Error ? error.message : String(error)}`);
      lines.push(`  FAILED: ${broken.at(-1)}`);
    }
    onDone(adversary.name);
  }
  return {
    lines: [...lines, `broken promises: ${broken.length}`, ...broken.map((what) => `  ${what}`)],
    isGood: broken.length === 0,
  };
}
