import { useEffect, useState } from 'preact/hooks';
import type { BedView } from '../views/bed-view.ts';
import type { TodayBed } from '../views/today-view.ts';
import { readBed } from './api.ts';
import { StateLegend, StateMark } from './day-line.tsx';
import { TextLines } from './elements.tsx';
import { pathTo, usePage } from './page-context.ts';
import { StoreChart } from './store-chart.tsx';
import { StoreTable } from './store-table.tsx';
import { device } from './this-device.ts';
import { isPageKey, say } from './words.ts';

/** So many beds stand open; those that need a person always do. */
const FIRST_BEDS = 8;

/** The beds, first to dry first; each leads to its own page. */
export function BedList() {
  const { today } = usePage();
  if (today.beds.length === 0) return null;
  const first = today.beds.filter((bed, index) => index < FIRST_BEDS || needsPerson(bed));
  const later = today.beds.filter((bed) => !first.includes(bed));
  return (
    <section aria-labelledby="beds-title">
      <h2 id="beds-title">{say('page.beds.driest_first')}</h2>
      <Rows beds={first} />
      {later.length === 0 ? null : (
        <details>
          <summary>
            {say('page.beds.more', { beds: later.length, dry: later[0]?.dryLine ?? '' })}
          </summary>
          <Rows beds={later} />
        </details>
      )}
    </section>
  );
}

function Rows({ beds }: { beds: readonly TodayBed[] }) {
  return (
    <ol class="beds">
      {beds.map((bed) => (
        <li key={bed.id}>
          <BedRow bed={bed} />
        </li>
      ))}
    </ol>
  );
}

function needsPerson(bed: TodayBed): boolean {
  return bed.severity === 'danger' || bed.severity === 'warn' || bed.held;
}

/** What keeps water off a bed now; stopped water keeps it off as well, and is named alone. */
function standingTags({ held, keptOff }: TodayBed): string[] {
  return [
    ...(held ? [say('page.tag.stopped')] : []),
    ...(keptOff && !held ? [say('page.tag.keep_off')] : []),
  ];
}

function BedRow({ bed }: { bed: TodayBed }) {
  const tags = [
    ...standingTags(bed),
    ...(bed.minutesBelowDryLimit > 0
      ? [say('page.tag.dry', { min: bed.minutesBelowDryLimit })]
      : []),
    ...(bed.riskLine === null ? [] : [bed.riskLine]),
    ...(bed.trimPct === 100 ? [] : [say('page.tag.trim', { pct: bed.trimPct })]),
  ];
  return (
    <a class="bed-row" href={pathTo('bed', bed.id)}>
      <span class="bed-name">{bed.name}</span>
      <span class={needsPerson(bed) ? 'dry clay' : 'dry'}>
        {bed.dryLine}
        {bed.dryBand === null ? null : <span class="band">({bed.dryBand})</span>}
      </span>
      <StoreBar bed={bed} />
      <span class="bed-more">
        {say('page.bed.left', bed.words)}
        {tags.map((tag) => (
          <span key={tag} class="tag">
            {tag}
          </span>
        ))}
      </span>
    </a>
  );
}

/** How full the seedbed is: water as a filled length, the reserve as a tick. The words beside say it. */
function StoreBar({ bed }: { bed: TodayBed }) {
  const share = (mm: number) => 100 * Math.min(1, Math.max(0, mm / bed.capacityMm));
  const reserve = share(bed.reserveMm);
  return (
    <svg class="store-bar" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
      <rect class="room" x="0" y="0" width="100" height="10" />
      <rect class="water" x="0" y="0" width={share(bed.storeNowMm)} height="10" />
      <line class="reserve" x1={reserve} y1="0" x2={reserve} y2="10" />
    </svg>
  );
}

const ACTIONS = ['look', 'rotation', 'water', 'trim', 'keep_off', 'stage'] as const;

/** One bed: its store through the day, every cycle with its reason, sand, germination and stage. */
export function BedPage({ bedId }: { bedId: string }) {
  const { today, live, time } = usePage();
  const { view, problem } = useBed(bedId, `${today.version} ${Math.floor(live.nowMs / 60_000)}`);
  const known = today.beds.find((bed) => bed.id === bedId);
  if (view === null) {
    return (
      <div>
        <h2 tabIndex={-1}>{known?.name ?? bedId}</h2>
        <p role="status" class={problem === null ? 'reading' : ''}>
          {problem ?? say('page.bed.reading')}
        </p>
      </div>
    );
  }
  return (
    <div class="bed-page">
      <BedTop view={view} />
      {live.away ? (
        <p class="small">{say('page.bed.read_at', { at: time.timeOf(view.nowMs) })}</p>
      ) : null}
      <section aria-labelledby="store-title">
        <h3 id="store-title">{say('page.bed.store')}</h3>
        <StoreChart view={view} />
        <StoreTable view={view} />
      </section>
      <BedCycles view={view} />
      <BedLooks view={view} />
      <BedDetails view={view} />
    </div>
  );
}

function BedTop({ view }: { view: BedView }) {
  const { mayChange } = usePage();
  const { bed } = view;
  const { words } = bed;
  return (
    <>
      <h2 tabIndex={-1}>{bed.name}</h2>
      <p class={bed.severity === 'danger' || bed.severity === 'warn' ? 'dry clay' : 'dry'}>
        {bed.dryLine}
        {standingTags(bed).map((tag) => (
          <span key={tag} class="tag">
            {tag}
          </span>
        ))}
      </p>
      <StoreBar bed={bed} />
      <p>
        {bed.drySentence}
        {bed.riskLine === null ? null : <span class="tag">{bed.riskLine}</span>}
      </p>
      <p>{say('page.bed.day', { ...words, percent: words.percentOfLoss, cycles: bed.cycles })}</p>
      {bed.notes.length === 0 ? null : (
        <ul class="lines">
          {bed.notes.map((note) => (
            <li key={note} class="needs-person">
              {note}
            </li>
          ))}
        </ul>
      )}
      {mayChange ? (
        <nav class="actions" aria-label={say('page.bed.change', { bed: bed.name })}>
          {ACTIONS.map((kind) => (
            <a
              key={kind}
              class="next-step"
              href={pathTo('change', kind.replaceAll('_', '-'), bed.id)}
            >
              {say(`page.bed.${kind}`)}
            </a>
          ))}
        </nav>
      ) : null}
    </>
  );
}

/** Every cycle of a bed with its state and its reason in a sentence. */
function BedCycles({ view }: { view: BedView }) {
  const { time, show } = usePage();
  const { cycles, keepOffs } = view;
  return (
    <section aria-labelledby="cycles-title">
      <h3 id="cycles-title">{say('page.cycles')}</h3>
      {cycles.length === 0 ? <p>{say('page.bed.no_cycle')}</p> : null}
      <ol class="lines cycles">
        {cycles.map((one) => (
          <li key={`${one.cycle} ${one.startMs}`}>
            <svg width="22" height="22" aria-hidden="true">
              <StateMark state={one.state} x={11} y={11} />
            </svg>
            <div>
              <strong>{time.timeOf(one.startMs)}</strong> ({one.sun}), {one.watering},{' '}
              {show.depth(one.netMm)}: {one.stateWords}.<br />
              <span class="small">{one.reason}</span>
            </div>
          </li>
        ))}
      </ol>
      <StateLegend states={new Set(cycles.map((one) => one.state))} />
      {keepOffs.length === 0 ? null : (
        <ul class="lines">
          {keepOffs.map((off) => (
            <li key={`${off.startMs} ${off.why}`}>
              {say('page.bed.no_water', {
                from: time.timeOf(off.startMs),
                to: time.timeOf(off.endMs),
                why: off.why,
              })}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

/** What persons saw on this bed. */
function BedLooks({ view }: { view: BedView }) {
  if (view.looks.length === 0) return null;
  return (
    <section aria-labelledby="looks-title">
      <h3 id="looks-title">{say('page.bed.looks')}</h3>
      <ul class="lines">
        {view.looks.map((look) => (
          <li key={`${look.atMs} ${look.line}`}>{look.line}</li>
        ))}
      </ul>
    </section>
  );
}

/** What a bed stands on: stage and signs, germination, the sand and its assumptions, stations, log. */
function BedDetails({ view }: { view: BedView }) {
  const { show } = usePage();
  const { stage, germination, sand, stations } = view;
  return (
    <>
      <section aria-labelledby="stage-title">
        <h3 id="stage-title">{say('page.stage', { stage: sayStage(stage.stage) })}</h3>
        <p>{stage.sinceLine}</p>
        {stage.ruling === stage.stage ? null : (
          <p>{say('page.stage.ruled', { stage: sayStage(stage.ruling) })}</p>
        )}
        <TextLines lines={stage.slowPatches.map((patch) => patch.line)} />
        {stage.signs.length === 0 ? null : (
          <>
            <p>
              {stage.next === null
                ? say('page.stage.signs')
                : say('page.stage.signs_of', { stage: sayStage(stage.next) })}
            </p>
            <TextLines lines={stage.signs} />
          </>
        )}
        <TextLines lines={stage.prompts} />
      </section>
      {germination === null ? null : (
        <section aria-labelledby="germination-title">
          <h3 id="germination-title">{say('page.bed.germination')}</h3>
          <p>{germination.line}</p>
        </section>
      )}
      <section aria-labelledby="sand-title">
        <h3 id="sand-title">{say('page.bed.sand', { sand: sand.name })}</h3>
        {sand.assumed ? (
          <p>
            <strong>{say('page.bed.sand.assumed')}</strong>
          </p>
        ) : null}
        <TextLines lines={sand.lines} />
      </section>
      <section aria-labelledby="stations-title">
        <h3 id="stations-title">{say('page.bed.stations')}</h3>
        <p>{say('page.bed.area', { area: show.area(view.areaM2) })}</p>
        <TextLines lines={stations.map((station) => station.line)} />
      </section>
      {view.log.length === 0 ? null : (
        <details>
          <summary>{say('page.bed.log')}</summary>
          <TextLines lines={view.log.map((row) => row.line)} />
        </details>
      )}
    </>
  );
}

/** A stage as the trade calls it. */
function sayStage(stage: string): string {
  const key = `page.stage.${stage}`;
  return isPageKey(key) ? say(key) : stage;
}

/** One bed as last read; it is read again whenever today changes. */
function useBed(bedId: string, version: string): { view: BedView | null; problem: string | null } {
  const [view, setView] = useState<BedView | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  useEffect(() => {
    let isCurrent = true;
    void readBed(bedId).then((outcome) => {
      if (!isCurrent) return;
      if (outcome.kind === 'well') setView(outcome.value);
      if (outcome.kind === 'away') {
        const kept = device.beds(Date.now()).find((one) => one.bed.id === bedId);
        setView((before) => (before?.bed.id === bedId ? before : (kept ?? null)));
      }
      const refusal = outcome.kind === 'refused' ? outcome.error.message : null;
      setProblem(outcome.kind === 'away' ? say('page.away') : refusal);
    });
    return () => {
      isCurrent = false;
    };
    // The version stands for everything that a reading tells.
  }, [bedId, version]);
  return { view: view?.bed.id === bedId ? view : null, problem };
}
