import type { RunState } from '../views/today-view.ts';
import { flowByHour } from './day-figures.ts';
import { DayLine, STATE_WORDS, StateLegend } from './day-line.tsx';
import { ScrollRegion } from './elements.tsx';
import { usePage } from './page-context.ts';

/** The day line with its legend, and the same as tables. */
export function LinePage() {
  const { today } = usePage();
  const { line, newest, inForce } = today;
  if (line === null || newest === null) {
    return (
      <div>
        <h2 tabIndex={-1}>The day line</h2>
        <p>There is no plan yet.</p>
      </div>
    );
  }
  return (
    <div>
      <h2 tabIndex={-1}>The day line, revision {line.revision}</h2>
      <p>{newest.standingLine}</p>
      {line.inForceCycles.length === 0 || inForce === null ? null : (
        <p class="needs-person-note">
          Two plans stand side by side: the upper marks are revision {line.revision}, the lower ones
          are of revision {inForce.revision}, which is in force until the newer one is confirmed.
        </p>
      )}
      <DayLine line={line} beds={today.beds} />
      <h3>What the marks mean</h3>
      <StateLegend states={new Set(STATE_WORDS.map(({ state }): RunState => state))} />
      <ShadeLegend />
      <CycleTable />
      <FlowTable />
    </div>
  );
}

export function ShadeLegend() {
  return (
    <ul class="legend">
      <li>
        <svg width="22" height="22" aria-hidden="true">
          <rect class="dark-hours" width="22" height="22" />
        </svg>
        hours in which nothing may start
      </li>
      <li>
        <svg width="22" height="22" aria-hidden="true">
          <rect class="kept-off" width="22" height="22" />
        </svg>
        keep-off: this bed gets no water
      </li>
      <li>
        <svg width="22" height="22" aria-hidden="true">
          <path class="now-mark" d="M5 3h12l-6 8zM11 8v14" />
        </svg>
        now
      </li>
    </ul>
  );
}

function CycleTable() {
  const { today, time, show } = usePage();
  const { line } = today;
  if (line === null) return null;
  const cycles = [...line.cycles, ...line.inForceCycles].toSorted((a, b) => a.startMs - b.startMs);
  return (
    <details>
      <summary>The cycles as a table</summary>
      <ScrollRegion label="Table of the cycles">
        <table>
          <thead>
            <tr>
              {['Start', 'By the sun', 'Bed', 'Runs for', 'Brings', 'State', 'Why then'].map(
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
              <tr key={`${one.bedId} ${one.cycle} ${one.startMs} ${one.state}`}>
                <td>{time.timeOf(one.startMs)}</td>
                <td>{one.sun}</td>
                <th scope="row">{one.name}</th>
                <td>{one.watering}</td>
                <td>{show.depth(one.netMm)}</td>
                <td>{one.stateWords}</td>
                <td>{one.reason}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </ScrollRegion>
      {line.keepOffs.length === 0 ? null : (
        <ul class="lines">
          {line.keepOffs.map((off) => (
            <li key={`${off.bedId} ${off.startMs} ${off.why}`}>
              {today.beds.find((bed) => bed.id === off.bedId)?.name ?? off.bedId}: kept off from{' '}
              {time.timeOf(off.startMs)} to {time.timeOf(off.endMs)}, {off.why}
            </li>
          ))}
        </ul>
      )}
    </details>
  );
}

function FlowTable() {
  const { today, time, show } = usePage();
  const { line } = today;
  if (line === null) return null;
  const bounds = time.hourTicks({ startMs: line.startMs, endMs: line.endMs, stepH: 1 });
  const rows = flowByHour(line.flow, bounds).filter((row) => row.mostLPerMin > 0);
  return (
    <details>
      <summary>The pump as a table</summary>
      <table>
        <thead>
          <tr>
            <th scope="col">From</th>
            <th scope="col">At most</th>
            <th scope="col">On average</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.startMs}>
              <th scope="row">{time.timeOf(row.startMs)}</th>
              <td>{show.flow(row.mostLPerMin)}</td>
              <td>{show.flow(row.meanLPerMin)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p>The limit is {show.flow(line.flow.limitLPerMin)}.</p>
    </details>
  );
}
