import type { QuestionView } from '../views/today-view.ts';
import { BedList } from './beds.tsx';
import { DayLine } from './day-line.tsx';
import { Notices, ShortageList } from './notices.tsx';
import { pathTo, usePage } from './page-context.ts';

/** What a person reads first: what waits, the beds by time to dry, the day, what does not fit. */
export function FirstScreen() {
  const { today } = usePage();
  return (
    <div class="first-screen">
      <Waiting />
      <BedList />
      <div class="beside">
        <DaySummary />
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

/** Is anything held, or waiting for me? */
function Waiting() {
  const { today } = usePage();
  const { waiting, inForce, newest, question } = today;
  return (
    <section aria-labelledby="waiting-title" class="waiting">
      <h2 id="waiting-title" tabIndex={-1}>
        {waiting.every((one) => one.severity === 'note')
          ? 'Nothing waits for you'
          : 'Waiting for you'}
      </h2>
      <ul class="lines">
        {waiting.map((one) => (
          <li
            key={`${one.kind} ${one.text}`}
            class={one.severity === 'note' ? '' : 'needs-person'}
            data-kind={one.kind}
          >
            {one.severity === 'danger' ? <strong>Now: </strong> : null}
            {one.kind === 'question' && question !== null ? (
              <WindQuestion {...question} />
            ) : (
              one.text
            )}
            {one.kind === 'hold' || one.kind === 'outdated_plan' || one.kind === 'no_plan' ? (
              <a class="next-step" href={pathTo('change', 'replan')}>
                Make a fresh plan
              </a>
            ) : null}
          </li>
        ))}
      </ul>
      <p>{inForce === null ? 'No plan is in force: no water runs.' : inForce.line}</p>
      {newest !== null && newest.standing !== 'held' && inForce?.revision !== newest.revision ? (
        <p>{newest.standingLine}</p>
      ) : null}
    </section>
  );
}

/** What is asked about the wind, the ways to answer, and what each answer brings. */
function WindQuestion({ line, answered, answers }: QuestionView) {
  return (
    <>
      {line} {answered ?? 'Until somebody answers, the plan runs anyway.'}
      <div class="actions">
        {answers.map(({ answer, words, isPlanned }) => (
          <a
            key={answer}
            class="next-step"
            href={pathTo('change', 'wind', answer)}
            aria-current={answered !== null && isPlanned ? 'true' : undefined}
          >
            {words}
          </a>
        ))}
      </div>
      <details>
        <summary>What each answer brings</summary>
        <ul class="lines">
          {answers.map((one) => (
            <li key={one.answer}>{one.line}</li>
          ))}
        </ul>
      </details>
    </>
  );
}

/** Today's loss against a usual day, wind and heat in one line. */
function DaySummary() {
  const { today, show } = usePage();
  const { day, call, seasonWater } = today;
  if (day === null) return null;
  const most = Math.max(day.lossMm, day.usualLossMm ?? 0, 0.1);
  const bars = [
    { words: 'today', lossMm: day.lossMm },
    ...(day.usualLossMm === null ? [] : [{ words: 'a usual day', lossMm: day.usualLossMm }]),
  ];
  return (
    <section aria-labelledby="day-title">
      <h2 id="day-title">The day</h2>
      <p class="day-line">{day.line}</p>
      <dl class="loss-bars">
        {bars.map(({ words, lossMm }) => (
          <div key={words}>
            <dt>{words}</dt>
            <dd>
              <svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
                <rect class="loss" x="0" y="0" width={(100 * lossMm) / most} height="10" />
              </svg>
              {show.depth(lossMm)}
            </dd>
          </div>
        ))}
      </dl>
      <p class="small">{call.line}</p>
      <p class="small">{day.weatherLine}</p>
      {seasonWater === null ? null : (
        <p class="small">
          Season’s water: {show.volume(seasonWater.usedL)} used and{' '}
          {show.volume(seasonWater.plannedL)} planned of {show.volume(seasonWater.allowedL)};{' '}
          {show.volume(seasonWater.leftL)} left.
        </p>
      )}
    </section>
  );
}

/** What the colours and bars of the page mean. */
function PageLegend() {
  return (
    <details class="page-legend">
      <summary>How to read this page</summary>
      <p>
        Beside each bed stands the time until its seedbed reaches its dry limit if no water came
        from now on.
      </p>
      <ul class="legend">
        <li>
          <svg width="44" height="22" aria-hidden="true" class="key water">
            <rect width="44" height="22" />
          </svg>
          dew green: water, in the ground or on its way
        </li>
        <li>
          <svg width="44" height="22" aria-hidden="true" class="key person">
            <rect width="44" height="22" />
          </svg>
          clay: needs a person
        </li>
        <li>
          <svg
            width="44"
            height="22"
            aria-hidden="true"
            class="store-bar key-bar"
            viewBox="0 0 44 22"
          >
            <rect class="room" x="1" y="6" width="42" height="10" />
            <rect class="water" x="1" y="6" width="26" height="10" />
            <line class="reserve" x1="10" x2="10" y1="3" y2="19" />
          </svg>
          a bed’s store: filled is what is left above the dry limit, the tick is its reserve, the
          whole length is full
        </li>
      </ul>
    </details>
  );
}
