import { useEffect, useState } from 'preact/hooks';
import type { BedView } from '../views/bed-view.ts';
import type { RunState } from '../views/today-view.ts';
import { readBeds } from './api.ts';
import { type StartGroup, startGroups } from './day-figures.ts';
import { ScrollRegion } from './elements.tsx';
import { byName, Stepper } from './fields.tsx';
import { handWatering, hosesNeeded } from './hand-watering.ts';
import { pathTo, usePage } from './page-context.ts';
import { device } from './this-device.ts';

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
        <h2 tabIndex={-1}>The day’s card</h2>
        <p>There is no plan yet.</p>
      </article>
    );
  }
  return (
    <article class="card">
      <h2 tabIndex={-1}>
        {today.site.name}: {time.dayOf(newest.madeAtMs)}
      </h2>
      <p>
        Revision {newest.revision}, digest <span class="digest">{newest.shortDigest}</span>. Printed
        as of {time.timeOf(today.nowMs)} site time ({today.site.zone}).
      </p>
      <p class="standing">{newest.standingLine}</p>
      {today.holds.map((hold) => (
        <p key={hold.holdId} class="standing">
          {hold.line}
        </p>
      ))}
      {day === null ? null : <p>{day.line}</p>}
      <ScrollRegion label="Cycles">
        <table class="card-table">
          <caption>Cycles</caption>
          <thead>
            <tr>
              <th scope="col">Bed</th>
              <th scope="col">Starts, and how long each station runs</th>
              <th scope="col" class="for-pen">
                Seen
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
          <h3>Kept off</h3>
          <ul>
            {line.keepOffs.map((off) => (
              <li key={`${off.bedId} ${off.startMs} ${off.why}`}>
                {today.beds.find((bed) => bed.id === off.bedId)?.name ?? off.bedId},{' '}
                {time.timeOf(off.startMs)} to {time.timeOf(off.endMs)}: {off.why}
              </li>
            ))}
          </ul>
        </>
      )}
      {today.shortages.length === 0 ? null : (
        <>
          <h3>Drier than their reserve</h3>
          <p>
            {today.shortages
              .map((one) => `${one.name} ${time.timeOf(one.fromMs)} to ${time.timeOf(one.toMs)}`)
              .join('; ')}
            .
          </p>
        </>
      )}
      <PaperCautions />
    </article>
  );
}

/** The state of a start in a word or two; the card's head says what is held. */
const CARD_WORDS: Readonly<Record<RunState, string>> = {
  planned: 'planned',
  sent: 'sent, no answer',
  accepted: 'accepted',
  running: 'running',
  ran: 'ran',
  silent: 'not reported',
  missed: 'MISSED',
  withdrawn: 'WITHDRAWN',
  rejected: 'REJECTED',
};

function Starts({ groups }: { groups: readonly StartGroup[] }) {
  const { time } = usePage();
  if (groups.length === 0) return <>no cycle</>;
  return (
    <>
      {groups.map((group) => (
        <div key={`${group.state} ${group.watering}`}>
          <strong>{group.startMs.map(time.timeOf).join(', ')}</strong>: {group.watering};{' '}
          {CARD_WORDS[group.state]}
        </div>
      ))}
    </>
  );
}

/** What stands at the foot of every card. */
function PaperCautions() {
  return (
    <p class="small">
      Sprinklers start without notice: keep people and machines off, cover pits. Lightning: nobody
      in the field until 30 minutes after the last thunder. A person on the turf and hardware stops
      have the last word.
    </p>
  );
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
      setProblem(lacking === 0 ? null : `${lacking} beds could not be read; the card lacks them.`);
    });
    return () => {
      isCurrent = false;
    };
  }, [today.version]);
  const rows = beds === null ? [] : handWatering({ beds, hoseLPerMin, nowMs: live.nowMs });
  const minutes = (value: number) => String(Math.max(value > 0 ? 1 : 0, Math.round(value)));
  return (
    <article class="card">
      <h2 tabIndex={-1}>If the pump fails: {today.site.name}</h2>
      <p>
        As of {time.timeOf(today.nowMs)}, {time.dayOf(today.nowMs)}. Without any water from now on.
        Water by hand from the top of the list; little and often, never so that it runs.
      </p>
      <div class="off-paper">
        <Stepper
          name="One hose gives"
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
        {beds === null ? <p>Reading the beds …</p> : null}
      </div>
      {rows.length === 0 ? null : (
        <>
          <p>
            Minutes for one hose of {show.flow(hoseLPerMin)} over the whole bed. To hold every bed
            at the day’s worst takes {hosesNeeded(rows)}{' '}
            {hosesNeeded(rows) === 1 ? 'hose' : 'hoses'} without a pause.
          </p>
          <ScrollRegion label="Order of hand watering">
            <table class="card-table">
              <caption>Order of hand watering</caption>
              <thead>
                <tr>
                  <th scope="col" class="for-pen">
                    Order
                  </th>
                  <th scope="col">Bed</th>
                  <th scope="col">Time left</th>
                  <th scope="col">Full lasts, at worst</th>
                  <th scope="col">To fill now</th>
                  <th scope="col">Each hour at worst</th>
                  <th scope="col" class="for-pen">
                    Done at
                  </th>
                </tr>
              </thead>
              <tbody>
                {rows.map((row, index) => (
                  <tr key={row.bedId}>
                    <td class="for-pen">{index + 1}</td>
                    <th scope="row">{row.name}</th>
                    <td>{row.dryLine}</td>
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
      <p class="small">
        Log what was given by hand afterwards (Change, Hand water), so that the next plan counts it.
      </p>
      <PaperCautions />
    </article>
  );
}
