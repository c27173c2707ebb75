import { DayCard } from './day-card.tsx';
import { FailureCard } from './failure-card.tsx';
import { pathTo } from './route.ts';

/** What goes on paper: the day's card, and the card for the day the pump fails. */
export function PaperPage({ card }: { card: string | undefined }) {
  const isFailure = card === 'failure';
  return (
    <div class="paper-page">
      <nav class="off-paper actions" aria-label="Cards">
        <a
          class="next-step"
          href={pathTo('paper', 'day')}
          aria-current={isFailure ? undefined : 'page'}
        >
          The day’s card
        </a>
        <a
          class="next-step"
          href={pathTo('paper', 'failure')}
          aria-current={isFailure ? 'page' : undefined}
        >
          If the pump fails
        </a>
        <button type="button" onClick={() => window.print()}>
          Print this card
        </button>
      </nav>
      {isFailure ? <FailureCard /> : <DayCard />}
    </div>
  );
}
