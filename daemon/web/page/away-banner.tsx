import { usePage } from './page-context.ts';
import { sayAge } from './site-time.ts';

/** Says when the daemon does not answer, and how old everything below is. */
export function AwayBanner() {
  const { live, today, time } = usePage();
  return (
    <div role="alert" class="away-place">
      {live.away ? (
        <p class="away">
          <strong>The daemon does not answer.</strong> What you see was read at{' '}
          {time.timeOf(today.nowMs)}, {sayAge(live.ageMs)} ago. It cannot be confirmed or changed
          until the daemon is back. Water that was confirmed may still run: stop it with{' '}
          <code>npx dewbeat hold</code> in a terminal, or at the valves.
        </p>
      ) : live.problem === null ? null : (
        <p class="away">
          <strong>Today could not be read.</strong> {live.problem}
        </p>
      )}
    </div>
  );
}
