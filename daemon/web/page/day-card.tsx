import type { RunState } from '../views/day-line-view.ts';
import { byName } from './fields.tsx';
import { usePage } from './page-context.ts';
import { Scrolls } from './scrolls.tsx';
import { type StartGroup, startGroups } from './start-groups.ts';

/** The day's cycles for the clipboard: one row a bed, its starts in one line. */
export function DayCard() {
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
      <Scrolls label="Cycles">
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
      </Scrolls>
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
export function PaperCautions() {
  return (
    <p class="small">
      Sprinklers start without notice: keep people and machines off, cover pits. Lightning: nobody
      in the field until 30 minutes after the last thunder. A person on the turf and hardware stops
      have the last word.
    </p>
  );
}
