import { BedList } from './bed-list.tsx';
import { DayLine } from './day-line.tsx';
import { DayWords } from './day-words.tsx';
import { Notices } from './notices.tsx';
import { usePage } from './page-context.ts';
import { PageLegend } from './page-legend.tsx';
import { pathTo } from './route.ts';
import { ShortageList } from './shortage-list.tsx';
import { Waiting } from './waiting.tsx';

/** What a person reads first: what waits, the beds by time to dry, the day, what does not fit. */
export function FirstScreen() {
  const { today } = usePage();
  return (
    <div class="first-screen">
      <Waiting />
      <BedList />
      <div class="beside">
        <DayWords />
        <DoesNotFit />
      </div>
      {today.line === null ? null : (
        <section class="whole" aria-labelledby="line-title">
          <h2 id="line-title">The day line</h2>
          <DayLine line={today.line} beds={today.beds} />
          <p>
            <a href={pathTo('line')}>Legend, and the same as tables</a>
          </p>
        </section>
      )}
      <div class="whole">
        <Notices />
        <PageLegend />
      </div>
    </div>
  );
}

function DoesNotFit() {
  const { today } = usePage();
  return (
    <section aria-labelledby="fit-title">
      <h2 id="fit-title">What does not fit</h2>
      {today.shortages.length === 0 ? (
        <p>Everything fits: no bed goes below its reserve.</p>
      ) : (
        <ShortageList />
      )}
    </section>
  );
}
