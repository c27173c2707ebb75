import { usePage } from './page-context.ts';
import { sayAge } from './site-time.ts';
import { StopByHand } from './stop-by-hand.tsx';

/** Says when the daemon does not answer, and how old everything below is. */
export function AwayBanner() {
  const { live, today, time } = usePage();
  const day = time.dayOf(today.nowMs);
  const onDay = day === time.dayOf(live.nowMs) ? '' : ` on ${day}`;
  return (
    <div role="alert" class="away-place">
      {live.away ? (
        <p class="away">
          <strong>The daemon does not answer.</strong> This was read at {time.timeOf(today.nowMs)}
          {onDay}, {sayAge(live.ageMs)} ago; nothing can be confirmed, changed or held from here. To
          stop water, <StopByHand />
        </p>
      ) : live.problem === null ? null : (
        <p class="away">
          <strong>Today could not be read.</strong> {live.problem}
        </p>
      )}
    </div>
  );
}
