import type { WarningView } from '../views/today-view.ts';
import { TextLines } from './elements.tsx';
import { usePage } from './page-context.ts';
import { say } from './words.ts';

/** Assumptions and gaps: they stand folded, for they change little from day to day. */
const BASIS = /^(weather_|rate_|sand_)/;

/** Warnings of the plan, weather notices with their rule, and what became of the orders. */
export function Notices() {
  const { today } = usePage();
  const { notices, deliveries, worthLooking } = today;
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
      {worthLooking === null ? null : <p>{worthLooking}</p>}
      {told.length === 0 ? null : (
        <section aria-labelledby="warnings-title">
          <h2 id="warnings-title">{say('page.warns')}</h2>
          <Warnings warnings={told} />
        </section>
      )}
      {notices.length === 0 ? null : (
        <section aria-labelledby="notices-title">
          <h2 id="notices-title">{say('page.notices')}</h2>
          <ul class="lines">
            {notices.map((one) => (
              <li key={`${one.title} ${one.text}`}>
                <strong class={one.severity === 'note' ? '' : 'clay'}>{one.title}.</strong>{' '}
                {one.text}
                <details>
                  <summary>{say('page.notices.rule')}</summary>
                  <p>{one.rule}</p>
                  <TextLines lines={one.saw} />
                </details>
              </li>
            ))}
          </ul>
        </section>
      )}
      {deliveries.length === 0 ? null : (
        <section aria-labelledby="sent-title">
          <h2 id="sent-title">{say('page.sent')}</h2>
          <TextLines lines={deliveries.map((one) => one.line)} />
        </section>
      )}
      {basis.length === 0 ? null : (
        <details>
          <summary>{say('page.rests_on', { count: basis.length })}</summary>
          <Warnings warnings={basis} />
        </details>
      )}
    </>
  );
}

function Warnings({ warnings }: { warnings: readonly WarningView[] }) {
  return <TextLines lines={warnings.map((one) => one.text)} />;
}

/** So many stand open; on a bad day the rest is folded, worst first. */
const SHORTAGES_SHOWN = 4;

/** What does not fit, the driest first, with what stands in the way. */
export function ShortageList() {
  const { today } = usePage();
  const worstFirst = today.shortages.toSorted(
    (a, b) => b.minutesBelowDryLimit - a.minutesBelowDryLimit || a.fromMs - b.fromMs,
  );
  const lines = worstFirst.map(({ bedId, fromMs, line }) => ({ key: `${bedId} ${fromMs}`, line }));
  return <FoldedLines lines={lines} open={SHORTAGES_SHOWN} />;
}

/** Lines that need a person; those beyond the first few are folded. */
export function FoldedLines(given: {
  lines: readonly { key: string; line: string }[];
  open: number;
}) {
  const { lines, open } = given;
  const list = (some: typeof lines) => (
    <ul class="lines">
      {some.map(({ key, line }) => (
        <li key={key} class="needs-person">
          {line}
        </li>
      ))}
    </ul>
  );
  const rest = lines.slice(open);
  return (
    <>
      {list(lines.slice(0, open))}
      {rest.length === 0 ? null : (
        <details>
          <summary>{say('page.more', { count: rest.length })}</summary>
          {list(rest)}
        </details>
      )}
    </>
  );
}
