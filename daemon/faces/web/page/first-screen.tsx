import type { QuestionView } from '../views/today-view.ts';
import { BedList } from './beds.tsx';
import { DayLine } from './day-line.tsx';
import { TextLines } from './elements.tsx';
import { Notices, ShortageList } from './notices.tsx';
import { pathTo, usePage } from './page-context.ts';
import { ReleaseLink } from './stop-water.tsx';
import { say } from './words.ts';

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
          <h2 id="line-title">{say('page.line.name')}</h2>
          <DayLine line={today.line} beds={today.beds} />
          <p>
            <a href={pathTo('line')}>{say('page.line.more')}</a>
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
      <h2 id="fit-title">{say('page.fit')}</h2>
      {today.shortages.length === 0 ? <p>{say('page.fit.all')}</p> : <ShortageList />}
    </section>
  );
}

/** Is anything stopped, or waiting for me? */
function Waiting() {
  const { today } = usePage();
  const { waiting, inForce, newest, question } = today;
  // However many times water was stopped, there is one way back.
  const lastStop = waiting.findLast(({ kind }) => kind === 'hold');
  return (
    <section aria-labelledby="waiting-title" class="waiting">
      <h2 id="waiting-title" tabIndex={-1}>
        {say(
          waiting.every((one) => one.severity === 'note') ? 'page.waiting.none' : 'page.waiting',
        )}
      </h2>
      <ul class="lines">
        {waiting.map((one) => (
          <li
            key={`${one.kind} ${one.text}`}
            class={one.severity === 'note' ? '' : 'needs-person'}
            data-kind={one.kind}
          >
            {one.severity === 'danger' ? <strong>{say('page.waiting.now')} </strong> : null}
            {one.kind === 'question' && question !== null ? (
              <WindQuestion {...question} />
            ) : (
              one.text
            )}
            {one === lastStop ? <ReleaseLink /> : null}
            {one.kind === 'outdated_plan' || one.kind === 'no_plan' ? (
              <a class="next-step" href={pathTo('change', 'replan')}>
                {say('page.fresh_plan')}
              </a>
            ) : null}
          </li>
        ))}
      </ul>
      {today.day === null ? null : <p class="day-water">{today.day.waterLine}</p>}
      <p>{inForce === null ? say('page.none_in_force') : inForce.line}</p>
      {inForce === null ? null : <TextLines lines={inForce.leewayLines} />}
      {newest !== null && newest.standing !== 'held' && inForce?.revision !== newest.revision ? (
        <p>{newest.standingLine}</p>
      ) : null}
    </section>
  );
}

/** What is asked about the wind, the ways to answer, and what each answer brings. */
function WindQuestion({ line, answered, answers }: QuestionView) {
  const choices = (
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
  );
  const brings = (
    <ul class="lines">
      {answers.map((one) => (
        <li key={one.answer}>{one.line}</li>
      ))}
    </ul>
  );
  // Once it is answered it is no question any more: one line, and the rest for who wants it.
  if (answered !== null) {
    return (
      <details>
        <summary>{answered}</summary>
        <p>{line}</p>
        {choices}
        {brings}
      </details>
    );
  }
  return (
    <>
      {line}
      {choices}
      <details>
        <summary>{say('page.wind.brings')}</summary>
        <p>{say('page.wind.unanswered')}</p>
        {brings}
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
    { words: say('page.day.today'), lossMm: day.lossMm },
    ...(day.usualLossMm === null
      ? []
      : [{ words: say('page.day.usual'), lossMm: day.usualLossMm }]),
  ];
  return (
    <section aria-labelledby="day-title">
      <h2 id="day-title">{say('page.day')}</h2>
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
      {day.riskLine === null ? null : <p class="small">{day.riskLine}</p>}
      {seasonWater === null ? null : (
        <p class="small">
          {say('page.day.season', {
            used: show.volume(seasonWater.usedL),
            planned: show.volume(seasonWater.plannedL),
            allowed: show.volume(seasonWater.allowedL),
            left: show.volume(seasonWater.leftL),
          })}
        </p>
      )}
    </section>
  );
}

/** What the colours and bars of the page mean. */
function PageLegend() {
  return (
    <details class="page-legend">
      <summary>{say('page.legend')}</summary>
      <p>{say('page.legend.dry')}</p>
      <ul class="legend">
        <li>
          <svg width="44" height="22" aria-hidden="true" class="key water">
            <rect width="44" height="22" />
          </svg>
          {say('page.legend.water')}
        </li>
        <li>
          <svg width="44" height="22" aria-hidden="true" class="key person">
            <rect width="44" height="22" />
          </svg>
          {say('page.legend.person')}
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
          {say('page.legend.store')}
        </li>
      </ul>
    </details>
  );
}
