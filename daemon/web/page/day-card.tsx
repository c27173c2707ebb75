import { usePage } from './page-context.ts';
import { Scrolls } from './scrolls.tsx';

/** The day's cycles for the clipboard, in the order in which they run. */
export function DayCard() {
  const { today, time, show } = usePage();
  const { newest, line, day } = today;
  if (newest === null || line === null) {
    return (
      <article>
        <h2 tabIndex={-1}>The day’s card</h2>
        <p>There is no plan yet.</p>
      </article>
    );
  }
  const cycles = line.cycles.toSorted((a, b) => a.startMs - b.startMs);
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
              {['Start', 'Bed', 'Each station', 'Rotations', 'Brings', 'State', 'Seen'].map(
                (head) => (
                  <th key={head} scope="col">
                    {head}
                  </th>
                ),
              )}
            </tr>
          </thead>
          <tbody>
            {cycles.map((one) => (
              <tr key={`${one.bedId} ${one.cycle} ${one.startMs}`}>
                <td>{time.timeOf(one.startMs)}</td>
                <th scope="row">{one.name}</th>
                <td>{show.duration(one.runMin * 60)}</td>
                <td>{one.rotations}</td>
                <td>{show.depth(one.netMm)}</td>
                <td>{one.stateWords}</td>
                <td>
                  <span class="tick-box" />
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
          <h3>What does not fit</h3>
          <ul>
            {today.shortages.map((one) => (
              <li key={`${one.bedId} ${one.fromMs}`}>{one.line}</li>
            ))}
          </ul>
        </>
      )}
      <PaperCautions />
    </article>
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
