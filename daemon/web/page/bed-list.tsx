import type { TodayBed } from '../views/today-view.ts';
import { usePage } from './page-context.ts';
import { pathTo } from './route.ts';

/** So many beds stand open; those that need a person always do. */
const FIRST_BEDS = 8;

/** The beds, first to dry first; each leads to its own page. */
export function BedList() {
  const { today } = usePage();
  if (today.beds.length === 0) return null;
  const first = today.beds.filter((bed, index) => index < FIRST_BEDS || needsPerson(bed));
  const later = today.beds.filter((bed) => !first.includes(bed));
  return (
    <section aria-labelledby="beds-title">
      <h2 id="beds-title">Beds, first to dry first</h2>
      <Rows beds={first} />
      {later.length === 0 ? null : (
        <details>
          <summary>
            {later.length} more {later.length === 1 ? 'bed' : 'beds'}, the first of them{' '}
            {later[0]?.dryLine}
          </summary>
          <Rows beds={later} />
        </details>
      )}
    </section>
  );
}

function Rows({ beds }: { beds: readonly TodayBed[] }) {
  return (
    <ol class="beds">
      {beds.map((bed) => (
        <li key={bed.id}>
          <BedRow bed={bed} />
        </li>
      ))}
    </ol>
  );
}

function needsPerson(bed: TodayBed): boolean {
  return bed.severity === 'danger' || bed.severity === 'warn' || bed.held;
}

function BedRow({ bed }: { bed: TodayBed }) {
  const tags = [
    ...(bed.held ? ['on hold'] : []),
    ...(bed.keptOff ? ['kept off'] : []),
    ...(bed.minutesBelowDryLimit > 0 ? [`dry for ${bed.minutesBelowDryLimit} min today`] : []),
    ...(bed.trimPct === 100 ? [] : [`trim ${bed.trimPct} %`]),
  ];
  return (
    <a class="bed-row" href={pathTo('bed', bed.id)}>
      <span class="bed-name">{bed.name}</span>
      <span class={needsPerson(bed) ? 'dry clay' : 'dry'}>{bed.dryLine}</span>
      <StoreBar bed={bed} />
      <span class="bed-more">
        {bed.words.store} of {bed.words.capacity} left, {bed.words.next}
        {tags.map((tag) => (
          <span key={tag} class="tag">
            {tag}
          </span>
        ))}
      </span>
    </a>
  );
}

/** How full the seedbed is: water as a filled length, the reserve as a tick. The words beside say it. */
export function StoreBar({ bed }: { bed: TodayBed }) {
  const share = (mm: number) => 100 * Math.min(1, Math.max(0, mm / bed.capacityMm));
  const reserve = share(bed.reserveMm);
  return (
    <svg class="store-bar" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
      <rect class="room" x="0" y="0" width="100" height="10" />
      <rect class="water" x="0" y="0" width={share(bed.storeNowMm)} height="10" />
      <line class="reserve" x1={reserve} y1="0" x2={reserve} y2="10" />
    </svg>
  );
}
