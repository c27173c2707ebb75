import { useEffect, useState } from 'preact/hooks';
import type { BedView } from '../views/bed-view.ts';
import { readBeds } from './api.ts';
import { PaperCautions } from './day-card.tsx';
import { Stepper } from './fields.tsx';
import { handWatering, hosesNeeded } from './hand-watering.ts';
import { usePage } from './page-context.ts';
import { Scrolls } from './scrolls.tsx';
import { device } from './this-device.ts';

const L_PER_GALLON = 3.785411784;

/** For the day the pump fails: time each bed has left, the order by hand, minutes by hose. */
export function FailureCard() {
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
          <Scrolls label="Order of hand watering">
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
          </Scrolls>
        </>
      )}
      <p class="small">
        Log what was given by hand afterwards (Change, Hand water), so that the next plan counts it.
      </p>
      <PaperCautions />
    </article>
  );
}
