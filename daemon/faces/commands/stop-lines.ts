import type { LoadedConfig } from '../../site/config/config.ts';
import type { Db } from '../../site/store/database.ts';
import { openHolds } from '../../site/store/holds-and-keep-offs.ts';
import { sayAtCommandLine } from '../../words/command-line.ts';
import { sayHeldBed } from '../../words/keep-dry-words.ts';
import { readerOf } from '../../words/plan-words.ts';

/** Where water is stopped, by whom and what it costs: a line each, beds first to dry first. */
export async function stopLines(db: Db, config: LoadedConfig, nowMs: number): Promise<string[]> {
  if (openHolds(db).length === 0) return [];
  // What works out how long beds have is loaded only where water is stopped.
  const { holdStandings } = await import('../../planning/open-holds.ts');
  const reader = readerOf(config);
  return holdStandings(db, config, nowMs).map(({ hold, beds, isOver }) => {
    const left = beds.map((bed) => sayHeldBed(bed, reader)).join('; ');
    return sayAtCommandLine('show.stopped', {
      who: hold.who,
      why: hold.why,
      isOver: isOver ? 'yes' : 'no',
      beds: left === '' ? sayAtCommandLine('show.no_bed') : left,
    });
  });
}
