import { BedList } from './bed-list.tsx';
import { DayWords } from './day-words.tsx';
import { Notices } from './notices.tsx';
import { usePage } from './page-context.ts';
import { PageLegend } from './page-legend.tsx';
import { Waiting } from './waiting.tsx';

/** What a person reads first: what waits, the beds by time to dry, the day, what does not fit. */
export function FirstScreen() {
  const { today } = usePage();
  return (
    <div class="first-screen">
      <Waiting />
      <BedList />
      <DayWords />
      <section aria-labelledby="fit-title">
        <h2 id="fit-title">What does not fit</h2>
        {today.shortages.length === 0 ? (
          <p>Everything fits: no bed goes below its reserve.</p>
        ) : (
          <ul class="lines">
            {today.shortages.map((one) => (
              <li key={`${one.bedId} ${one.fromMs}`} class="needs-person">
                {one.line}
              </li>
            ))}
          </ul>
        )}
      </section>
      <Notices />
      <PageLegend />
    </div>
  );
}
