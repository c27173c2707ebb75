import type { Run } from '../../calc/schedule/run.ts';
import { shortStationId } from './short-station-id.ts';

/**
 * What the stations of one cycle run, in minutes and whole turns: said once where they are alike,
 * else station by station, so that a crew opens each valve for its own time.
 */
export function stationRuns(
  runs: readonly Pick<Run, 'bedId' | 'stationId' | 'runS' | 'rotations'>[],
  duration: (seconds: number) => string,
): string {
  const groups = new Map<string, string[]>();
  for (const { bedId, stationId, runS, rotations } of runs) {
    const words = `${duration(runS)}, ${rotations} ${rotations === 1 ? 'rotation' : 'rotations'}`;
    groups.set(words, [...(groups.get(words) ?? []), shortStationId(stationId, bedId)]);
  }
  const [first] = groups.keys();
  if (first === undefined) return '-';
  if (groups.size === 1) return first;
  return [...groups].map(([words, ids]) => `${ids.join(' and ')} ${words}`).join('; ');
}
