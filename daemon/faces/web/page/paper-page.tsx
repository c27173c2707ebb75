import { useEffect, useState } from 'preact/hooks';
import type { BedView } from '../views/bed-view.ts';
import { readBeds } from './api.ts';
import { type StartGroup, startGroups } from './day-figures.ts';
import { ScrollRegion } from './elements.tsx';
import { byName, Stepper } from './fields.tsx';
import { handWatering, hosesNeeded } from './hand-watering.ts';
import { pathTo, usePage } from './page-context.ts';
import { device } from './this-device.ts';
import { say, sayWith } from './words.ts';

/** What goes on paper: the day's card, and the card for the day the pump fails. */
export function PaperPage({ card }: { card: string | undefined }) {
  const isFailure = card === 'failure';
  return (
    <div class="paper-page">
      <nav class="off-paper actions" aria-label={say('page.paper.cards')}>
        <a
          class="next-step"
          href={pathTo('paper', 'day')}
          aria-current={isFailure ? undefined : 'page'}
        >
          {say('page.paper.day')}
        </a>
        <a
          class="next-step"
          href={pathTo('paper', 'failure')}
          aria-current={isFailure ? 'page' : undefined}
        >
          {say('page.paper.failure')}
        </a>
        <button type="button" onClick={() => window.print()}>
          {say('page.paper.print')}
        </button>
      </nav>
      {isFailure ? <PumpFailureCard /> : <DayCard />}
    </div>
  );
}

/** The day's cycles for the clipboard: one row a bed, its starts in one line. */
function DayCard() {
  const { today, time } = usePage();
  const { newest, line, day } = today;
  if (newest === null || line === null) {
    return (
      <article>
        <h2 tabIndex={-1}>{say('page.paper.day')}</h2>
        <p>{say('page.no_plan')}</p>
      </article>
    );
  }
  return (
    <article class="card">
      <h2 tabIndex={-1}>
        {today.site.name}: {time.dayOf(newest.madeAtMs)}
      </h2>
      <p>
        {sayWith('page.paper.plan', {
          plan: newest.revision,
          digest: <span class="digest">{newest.shortDigest}</span>,
          at: time.timeOf(today.nowMs),
          zone: today.site.zone,
        })}
      </p>
      <p class="standing">{newest.standingLine}</p>
      {today.holds.map((hold) => (
        <p key={hold.holdId} class="standing">
          {hold.line}
        </p>
      ))}
      {day === null ? null : <p>{day.line}</p>}
      {day === null || day.riskLine === null ? null : <p>{day.riskLine}</p>}
      <ScrollRegion label={say('page.cycles')}>
        <table class="card-table">
          <caption>{say('page.cycles')}</caption>
          <thead>
            <tr>
              <th scope="col">{say('page.bed')}</th>
              <th scope="col">{say('page.paper.starts')}</th>
              <th scope="col" class="for-pen">
                {say('page.paper.seen')}
              </th>
            </tr>
          </thead>
          <tbody>
            {byName(today.beds).map((bed) => (
              <tr key={bed.id}>
                <th scope="row">{bed.name}</th>
                <td>
                  <Starts groups={startGroups(line.cycles.filter((one) => one.bedId === bed.id))} />
                </td>
                <td class="for-pen">
                  <span class="write-line" />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </ScrollRegion>
      {line.keepOffs.length === 0 ? null : (
        <>
          <h3>{say('page.paper.keep_off')}</h3>
          <ul>
            {line.keepOffs.map((off) => (
              <li key={`${off.bedId} ${off.startMs} ${off.why}`}>
                {say('page.paper.span', {
                  bed: today.beds.find((bed) => bed.id === off.bedId)?.name ?? off.bedId,
                  from: time.timeOf(off.startMs),
                  to: time.timeOf(off.endMs),
                })}
                : {off.why}
              </li>
            ))}
          </ul>
        </>
      )}
      {today.shortages.length === 0 ? null : (
        <>
          <h3>{say('page.paper.short')}</h3>
          <p>
            {today.shortages
              .map((one) =>
                say('page.paper.span', {
                  bed: one.name,
                  from: time.timeOf(one.fromMs),
                  to: time.timeOf(one.toMs),
                }),
              )
              .join('; ')}
            .
          </p>
        </>
      )}
      <PaperCautions />
    </article>
  );
}

function Starts({ groups }: { groups: readonly StartGroup[] }) {
  const { time } = usePage();
  if (groups.length === 0) return <>{say('page.paper.no_cycle')}</>;
  return (
    <>
      {groups.map((group) => (
        <div key={`${group.state} ${group.watering}`}>
          <strong>{group.startMs.map(time.timeOf).join(', ')}</strong>: {group.watering};{' '}
          {say(`page.paper.${group.state}`)}
        </div>
      ))}
    </>
  );
}

/** What stands at the foot of every card. */
function PaperCautions() {
  return <p class="small">{say('page.paper.caution')}</p>;
}

const L_PER_GALLON = 3.785411784;

/** For the day the pump fails: time each bed has left, the order by hand, minutes by hose. */
function PumpFailureCard() {
  const { today, time, live, show } = usePage();
  const isUs = today.site.units === 'us';
  const [hoseLPerMin, setHose] = useState(isUs ? 15 * L_PER_GALLON : 60);
  const [beds, setBeds] = useState<BedView[] | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  useEffect(() => {
    let isCurrent = true;
    void readBeds().then((outcome) => {
      if (!isCurrent) return;
      const read = outcome.kind === 'well' ? outcome.value.beds : device.beds(Date.now());
      if (read.length > 0) setBeds(read);
      const lacking = today.beds.length - read.length;
      setProblem(lacking === 0 ? null : say('page.failure.lacks', { beds: lacking }));
    });
    return () => {
      isCurrent = false;
    };
  }, [today.version]);
  const rows = beds === null ? [] : handWatering({ beds, hoseLPerMin, nowMs: live.nowMs });
  const minutes = (value: number) => String(Math.max(value > 0 ? 1 : 0, Math.round(value)));
  return (
    <article class="card">
      <h2 tabIndex={-1}>{say('page.failure', { site: today.site.name })}</h2>
      <p>
        {say('page.failure.how', { at: time.timeOf(today.nowMs), day: time.dayOf(today.nowMs) })}
      </p>
      <div class="off-paper">
        <Stepper
          name={say('page.failure.hose')}
          words={show.flow(hoseLPerMin)}
          value={hoseLPerMin}
          step={isUs ? L_PER_GALLON : 5}
          atLeast={isUs ? 5 * L_PER_GALLON : 20}
          atMost={isUs ? 60 * L_PER_GALLON : 240}
          set={setHose}
        />
      </div>
      <div role="status">
        {problem === null ? null : <p class="told wrong">{problem}</p>}
        {beds === null ? <p class="reading">{say('page.failure.reading')}</p> : null}
      </div>
      {rows.length === 0 ? null : (
        <>
          <p>
            {say('page.failure.minutes', {
              flow: show.flow(hoseLPerMin),
              hoses: hosesNeeded(rows),
            })}
          </p>
          <ScrollRegion label={say('page.failure.order')}>
            <table class="card-table">
              <caption>{say('page.failure.order')}</caption>
              <thead>
                <tr>
                  <th scope="col" class="for-pen">
                    {say('page.failure.place')}
                  </th>
                  <th scope="col">{say('page.bed')}</th>
                  <th scope="col">{say('page.failure.left')}</th>
                  <th scope="col">{say('page.failure.lasts')}</th>
                  <th scope="col">{say('page.failure.fill')}</th>
                  <th scope="col">{say('page.failure.hour')}</th>
                  <th scope="col" class="for-pen">
                    {say('page.failure.done')}
                  </th>
                </tr>
              </thead>
              <tbody>
                {rows.map((row, index) => (
                  <tr key={row.bedId}>
                    <td class="for-pen">{index + 1}</td>
                    <th scope="row">{row.name}</th>
                    <td>
                      {row.dryLine}
                      {row.dryBand === null ? null : ` (${row.dryBand})`}
                    </td>
                    <td>
                      {row.lastsMin === null ? '-' : show.duration(Math.round(row.lastsMin) * 60)}
                    </td>
                    <td>{minutes(row.fillMin)} min</td>
                    <td>{minutes(row.worstHourMin)} min</td>
                    <td class="for-pen">
                      <span class="write-line" />
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
          </ScrollRegion>
        </>
      )}
      <p class="small">{say('page.failure.log')}</p>
      <PaperCautions />
    </article>
  );
}
