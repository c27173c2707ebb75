import type { TodayBed } from '../views/today-view.ts';

/** What differs for the beds between two readings, one line each; alike beds have none. */
export function bedDifferences(before: readonly TodayBed[], after: readonly TodayBed[]): string[] {
  const byId = new Map(before.map((bed) => [bed.id, bed]));
  return after
    .toSorted((a, b) => (a.name < b.name ? -1 : 1))
    .flatMap((bed) => {
      const was = byId.get(bed.id);
      if (was === undefined) return [`${bed.name}: is new in the plan.`];
      const differs =
        was.cycles !== bed.cycles ||
        was.words.net !== bed.words.net ||
        was.words.lowest !== bed.words.lowest;
      if (!differs) return [];
      return [
        `${bed.name}: ${sayDay(was)} before, ${sayDay(bed)} now; lowest ${was.words.lowest} before, ${bed.words.lowest} now.`,
      ];
    });
}

function sayDay({ cycles, words }: TodayBed): string {
  return `${cycles} ${cycles === 1 ? 'cycle' : 'cycles'} with ${words.net}`;
}
