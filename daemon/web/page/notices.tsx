import type { WarningView } from '../views/today-view.ts';
import { usePage } from './page-context.ts';
import { Texts } from './texts.tsx';

/** Assumptions and gaps: they stand folded, for they change little from day to day. */
const BASIS = /^(weather_|rate_|sand_)/;

/** Warnings of the plan, weather notices with their rule, and what became of the orders. */
export function Notices() {
  const { today } = usePage();
  const { notices, deliveries } = today;
  // What does not fit and what is asked stand above already, in full.
  const short = new Set(today.shortages.map((one) => one.bedId));
  const warnings = today.warnings.filter(
    ({ code, bedId }) =>
      code !== 'wind_question' &&
      code !== 'wind_answered' &&
      !(code === 'does_not_fit' && bedId !== null && short.has(bedId)),
  );
  const basis = warnings.filter(({ code }) => BASIS.test(code));
  const told = warnings.filter(({ code }) => !BASIS.test(code));
  return (
    <>
      {told.length === 0 ? null : (
        <section aria-labelledby="warnings-title">
          <h2 id="warnings-title">The plan warns</h2>
          <Warnings warnings={told} />
        </section>
      )}
      {notices.length === 0 ? null : (
        <section aria-labelledby="notices-title">
          <h2 id="notices-title">Weather and water</h2>
          <ul class="lines">
            {notices.map((one) => (
              <li key={`${one.title} ${one.text}`}>
                <strong class={one.severity === 'note' ? '' : 'clay'}>{one.title}.</strong>{' '}
                {one.text}
                <details>
                  <summary>Its rule, and what it saw</summary>
                  <p>{one.rule}</p>
                  <Texts lines={one.saw} />
                </details>
              </li>
            ))}
          </ul>
        </section>
      )}
      {deliveries.length === 0 ? null : (
        <section aria-labelledby="sent-title">
          <h2 id="sent-title">What was sent</h2>
          <Texts lines={deliveries.map((one) => one.line)} />
        </section>
      )}
      {basis.length === 0 ? null : (
        <details>
          <summary>What the plan rests on: {basis.length} assumptions and gaps</summary>
          <Warnings warnings={basis} />
        </details>
      )}
    </>
  );
}

function Warnings({ warnings }: { warnings: readonly WarningView[] }) {
  return <Texts lines={warnings.map((one) => one.text)} />;
}
