import { flowByHour } from './day-figures.ts';
import { DayLine, RUN_STATES, StateLegend } from './day-line.tsx';
import { ScrollRegion } from './elements.tsx';
import { usePage } from './page-context.ts';
import { say } from './words.ts';

/** The day line with its legend, and the same as tables. */
export function LinePage() {
  const { today } = usePage();
  const { line, newest, inForce } = today;
  if (line === null || newest === null) {
    return (
      <div>
        <h2 tabIndex={-1}>{say('page.line.name')}</h2>
        <p>{say('page.no_plan')}</p>
      </div>
    );
  }
  return (
    <div>
      <h2 tabIndex={-1}>{say('page.line', { plan: line.revision })}</h2>
      <p>{newest.standingLine}</p>
      {line.inForceCycles.length === 0 || inForce === null ? null : (
        <p class="needs-person-note">
          {say('page.line.two', { newest: line.revision, inForce: inForce.revision })}
        </p>
      )}
      <DayLine line={line} beds={today.beds} />
      <h3>{say('page.line.marks')}</h3>
      <StateLegend states={new Set(RUN_STATES)} />
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
        {say('page.line.closed')}
      </li>
      <li>
        <svg width="22" height="22" aria-hidden="true">
          <rect class="kept-off" width="22" height="22" />
        </svg>
        {say('page.line.keep_off')}
      </li>
      <li>
        <svg width="22" height="22" aria-hidden="true">
          <path class="now-mark" d="M5 3h12l-6 8zM11 8v14" />
        </svg>
        {say('page.line.now')}
      </li>
    </ul>
  );
}

const CYCLE_HEADS = [
  'page.line.start',
  'page.line.sun',
  'page.bed',
  'page.line.runs',
  'page.line.brings',
  'page.line.state',
  'page.line.why',
] as const;

function CycleTable() {
  const { today, time, show } = usePage();
  const { line } = today;
  if (line === null) return null;
  const cycles = [...line.cycles, ...line.inForceCycles].toSorted((a, b) => a.startMs - b.startMs);
  return (
    <details>
      <summary>{say('page.line.cycles')}</summary>
      <ScrollRegion label={say('page.line.cycles')}>
        <table>
          <thead>
            <tr>
              {CYCLE_HEADS.map((head) => (
                <th key={head} scope="col">
                  {say(head)}
                </th>
              ))}
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
              <strong>{today.beds.find((bed) => bed.id === off.bedId)?.name ?? off.bedId}.</strong>{' '}
              {say('page.bed.no_water', {
                from: time.timeOf(off.startMs),
                to: time.timeOf(off.endMs),
                why: off.why,
              })}
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
      <summary>{say('page.pump.table')}</summary>
      <table>
        <thead>
          <tr>
            <th scope="col">{say('page.pump.from')}</th>
            <th scope="col">{say('page.pump.most')}</th>
            <th scope="col">{say('page.pump.mean')}</th>
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
      <p>{say('page.pump.limit_is', { limit: show.flow(line.flow.limitLPerMin) })}</p>
    </details>
  );
}
