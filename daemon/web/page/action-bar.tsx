import { usePage } from './page-context.ts';
import { pathTo, type Route } from './route.ts';

/** Hold and confirm, in the same place on every screen. */
export function ActionBar({ route, openHold }: { route: Route; openHold(): void }) {
  const { today, live, mayChange } = usePage();
  const { newest } = today;
  const waits = newest?.standing === 'held' && live.nowMs < newest.endMs;
  return (
    <aside class="action-bar" aria-label="Hold and confirm">
      <button type="button" class="hold" onClick={openHold}>
        Hold water
      </button>
      {waits && mayChange && !live.away ? (
        route.room === 'confirm' ? (
          <span class="standing-note">Tick and confirm above</span>
        ) : (
          <a class="confirm" href={pathTo('confirm')}>
            <span>
              Confirm <span class="roomy">revision </span>
              <span class="tight">plan </span>
              {newest.revision}
            </span>
          </a>
        )
      ) : (
        <span class="standing-note">
          {live.away && waits ? 'Daemon away: no confirm' : standingNote(today, mayChange)}
        </span>
      )}
    </aside>
  );
}

function standingNote(
  { newest, inForce }: ReturnType<typeof usePage>['today'],
  mayChange: boolean,
): string {
  if (newest === null) return 'No plan yet';
  if (newest.standing === 'confirmed' && inForce !== null) {
    return `Revision ${inForce.revision} confirmed by ${inForce.confirmedBy}`;
  }
  if (newest.standing === 'held' && !mayChange) return 'A keeper has to confirm this plan';
  return 'Nothing runs: make a fresh plan';
}
