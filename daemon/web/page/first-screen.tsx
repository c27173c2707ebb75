import { BedList } from './bed-list.tsx';
import { DayWords } from './day-words.tsx';
import { usePage } from './page-context.ts';
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
    </div>
  );
}

/** Warnings of the plan, weather notices with their rule, and what became of the orders. */
function Notices() {
  const { today } = usePage();
  const { warnings, notices, deliveries } = today;
  return (
    <>
      {warnings.length === 0 ? null : (
        <section aria-labelledby="warnings-title">
          <h2 id="warnings-title">The plan warns</h2>
          <ul class="lines">
            {warnings.map((one) => (
              <li key={`${one.code} ${one.bedId} ${one.text}`}>{one.text}</li>
            ))}
          </ul>
        </section>
      )}
      {notices.length === 0 ? null : (
        <section aria-labelledby="notices-title">
          <h2 id="notices-title">Weather and water</h2>
          <ul class="lines">
            {notices.map((one) => (
              <li key={one.title}>
                <strong class={one.severity === 'note' ? '' : 'clay'}>{one.title}.</strong>{' '}
                {one.text}
                <details>
                  <summary>Its rule, and what it saw</summary>
                  <p>{one.rule}</p>
                  <ul>
                    {one.saw.map((line) => (
                      <li key={line}>{line}</li>
                    ))}
                  </ul>
                </details>
              </li>
            ))}
          </ul>
        </section>
      )}
      {deliveries.length === 0 ? null : (
        <section aria-labelledby="sent-title">
          <h2 id="sent-title">What was sent</h2>
          <ul class="lines">
            {deliveries.map((one) => (
              <li key={one.output}>{one.line}</li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}
