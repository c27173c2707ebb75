import { useRef, useState } from 'preact/hooks';
import type { ApiError, ConfirmView } from '../views/action-view.ts';
import type { TodayBed, TodayView } from '../views/today-view.ts';
import { confirmPlan } from './api.ts';
import { FocusedHeading, TextLines } from './elements.tsx';
import { NameField } from './fields.tsx';
import { pathTo, usePage } from './page-context.ts';
import { say, sayWith } from './words.ts';

/** More than these are folded: the first screen has told them. */
const FEW = 2;

/** Lets exactly the plan out that a person has read here. */
export function ConfirmPage() {
  const { today, live, who, mayChange } = usePage();
  // The plan that this person reads. A newer one never slips in under their ticks.
  const [read, setRead] = useState(today);
  const [ticked, setTicked] = useState<readonly string[]>([]);
  const [leeway, setLeeway] = useState<LeewayChoice>(AS_LAID);
  const [missing, setMissing] = useState<string | null>(null);
  const [refused, setRefused] = useState<ApiError | null>(null);
  const [done, setDone] = useState<ConfirmView | null>(null);
  const [busy, setBusy] = useState(false);
  const nameField = useRef<HTMLInputElement>(null);
  const { newest, cautions } = read;

  if (done !== null) return <Confirmed done={done} />;
  if (newest === null || newest.standing !== 'held') {
    return <NothingToConfirm readNewest={() => setRead(today)} />;
  }
  const isNewest = today.newest?.digest === newest.digest;
  const released = read.holds.filter((hold) => newest.liftsHolds.includes(hold.holdId));
  const readAgain = () => {
    setRead(today);
    setTicked([]);
    setLeeway(AS_LAID);
    setRefused(null);
    setMissing(null);
  };

  const send = async () => {
    const unticked = cautions.filter(({ code }) => !ticked.includes(code));
    if (who.trim() === '') {
      setMissing(say('page.your_name.first'));
      nameField.current?.focus();
      return;
    }
    if (unticked.length > 0) {
      setMissing(say('page.confirm.untick'));
      document.getElementById(`caution-${unticked[0]?.code}`)?.focus();
      return;
    }
    setMissing(null);
    setBusy(true);
    const { revision, digest } = newest;
    const leewayBedIds = leeway.isGiven
      ? (read.leeway?.beds ?? []).map(({ id }) => id).filter((id) => !leeway.without.includes(id))
      : null;
    const asked = { revision, digest, who, cautions: [...ticked], leewayBedIds };
    const outcome = await confirmPlan(asked);
    setBusy(false);
    if (outcome.kind === 'well') setDone(outcome.value);
    else if (outcome.kind === 'refused') setRefused(outcome.error);
    else setMissing(say('page.confirm.unheard'));
    await live.read();
  };

  return (
    <div class="confirm-page">
      <h2 tabIndex={-1}>{say('page.confirm', { plan: newest.revision })}</h2>
      <p class="standing">{newest.standingLine}</p>
      <p>
        {sayWith('page.confirm.plan', {
          cause: newest.causeLine,
          cycles: newest.cycles,
          beds: read.beds.length,
          digest: <span class="digest">{newest.shortDigest}</span>,
        })}
      </p>
      <div role="alert">
        {isNewest && refused === null ? null : (
          <Outdated
            refused={refused}
            differences={isNewest ? [] : bedDifferences(read.beds, today.beds)}
            readAgain={readAgain}
          />
        )}
      </div>
      {released.length === 0 ? null : (
        <div class="needs-person-note">
          <p>
            <strong>{say('page.confirm.releases')}</strong>
          </p>
          <ul>
            {released.map((hold) => (
              <li key={hold.holdId}>{hold.line}</li>
            ))}
          </ul>
        </div>
      )}
      <h3>{say('page.confirm.changed')}</h3>
      <Changes changes={read.changes} />
      {read.shortages.length === 0 ? null : (
        <details open={read.shortages.length <= FEW}>
          <summary>{say('page.fit.count', { count: read.shortages.length })}</summary>
          <ul class="lines">
            {read.shortages.map((one) => (
              <li key={`${one.bedId} ${one.fromMs}`} class="needs-person">
                {one.line}
              </li>
            ))}
          </ul>
        </details>
      )}
      {read.day === null || read.day.riskLine === null ? null : <p>{read.day.riskLine}</p>}
      <p>
        <a href={pathTo('line')}>{say('page.confirm.line_first')}</a>
      </p>
      <fieldset>
        <legend>{say('page.confirm.cautions')}</legend>
        {cautions.map(({ code, text }) => (
          <label key={code} class="caution">
            <input
              id={`caution-${code}`}
              type="checkbox"
              checked={ticked.includes(code)}
              onChange={(event) => {
                const others = ticked.filter((one) => one !== code);
                setTicked(event.currentTarget.checked ? [...others, code] : others);
              }}
            />
            <span>{text}</span>
          </label>
        ))}
      </fieldset>
      {read.leeway === null ? null : (
        <LeewayQuestion leeway={read.leeway} choice={leeway} choose={setLeeway} />
      )}
      <NameField field={nameField} />
      <div role="alert">{missing === null ? null : <p class="told wrong">{missing}</p>}</div>
      {live.away ? <p class="told wrong">{say('page.confirm.away')}</p> : null}
      <button
        type="button"
        class="confirm big"
        disabled={busy || live.away || !isNewest || !mayChange}
        onClick={() => void send()}
      >
        {say('page.confirm.go')}
      </button>
      {mayChange ? null : <p>{say('page.confirm.watcher')}</p>}
    </div>
  );
}

/** What the daemon may do of itself: nothing, or what the leeway says but on some beds. */
interface LeewayChoice {
  isGiven: boolean;
  /** Beds that stay as laid all the same. */
  without: readonly string[];
}

const AS_LAID: LeewayChoice = { isGiven: false, without: [] };

/** As laid, or with its leeway: asked at every confirm, and as laid unless a person says otherwise. */
function LeewayQuestion(given: {
  leeway: NonNullable<TodayView['leeway']>;
  choice: LeewayChoice;
  choose(choice: LeewayChoice): void;
}) {
  const { leeway, choice, choose } = given;
  return (
    <fieldset>
      <legend>{say('page.leeway.asked')}</legend>
      {[false, true].map((isGiven) => (
        <label key={String(isGiven)} class="caution">
          <input
            type="radio"
            name="leeway"
            checked={choice.isGiven === isGiven}
            onChange={() => choose({ ...choice, isGiven })}
          />
          <span>{isGiven ? leeway.line : say('page.leeway.as_laid')}</span>
        </label>
      ))}
      {choice.isGiven ? (
        <>
          <p class="needs-person-note">{leeway.holds}</p>
          <details>
            <summary>{say('page.leeway.by_bed')}</summary>
            {leeway.beds.map(({ id, line }) => (
              <label key={id} class="caution">
                <input
                  type="checkbox"
                  checked={!choice.without.includes(id)}
                  onChange={(event) => {
                    const others = choice.without.filter((one) => one !== id);
                    const without = event.currentTarget.checked ? others : [...others, id];
                    choose({ ...choice, without });
                  }}
                />
                <span>{line}</span>
              </label>
            ))}
          </details>
        </>
      ) : null}
    </fieldset>
  );
}

function Changes({ changes }: { changes: { againstRevision: number | null; lines: string[] } }) {
  if (changes.againstRevision === null) return <p>{say('page.confirm.first')}</p>;
  const plan = changes.againstRevision;
  if (changes.lines.length === 0) return <p>{say('page.confirm.same', { plan })}</p>;
  return (
    <>
      <p>{say('page.confirm.against', { plan })}</p>
      <TextLines lines={changes.lines} />
    </>
  );
}

function Outdated(given: {
  refused: ApiError | null;
  differences: readonly string[];
  readAgain(): void;
}) {
  const { refused, differences, readAgain } = given;
  const lines = refused?.changes ?? differences;
  return (
    <div class="told wrong">
      <p>
        <strong>{refused === null ? say('page.confirm.newer') : refused.message}</strong>
      </p>
      {lines.length === 0 ? null : (
        <>
          <p>{say('page.confirm.differs')}</p>
          <ul>
            {lines.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </>
      )}
      <button type="button" onClick={readAgain}>
        {say('page.confirm.read_newest')}
      </button>
    </div>
  );
}

function NothingToConfirm({ readNewest }: { readNewest(): void }) {
  const { today } = usePage();
  return (
    <div>
      <h2 tabIndex={-1}>{say('page.confirm.nothing')}</h2>
      <p>{today.newest?.standingLine ?? say('page.no_plan')}</p>
      {today.newest?.standing === 'held' ? (
        <button type="button" class="confirm" onClick={readNewest}>
          {say('page.confirm.read', { plan: today.newest.revision })}
        </button>
      ) : (
        <a class="next-step" href={pathTo('change', 'replan')}>
          {say('page.fresh_plan')}
        </a>
      )}
    </div>
  );
}

/** What a confirm has let out, where it has got to by now, and when the first water comes. */
function Confirmed({ done }: { done: ConfirmView }) {
  const { today, time } = usePage();
  const next = nextWater(today.beds);
  const own = today.deliveries.filter(({ orderId }) => orderId === done.orderId);
  const isThere = own.length > 0 && own.every(({ state }) => state === 'accepted');
  return (
    <div>
      <div role="status">
        <FocusedHeading>{say('page.confirmed')}</FocusedHeading>
        <p class={isThere ? 'standing well' : 'standing'}>{done.line}</p>
        <p>{done.leeway}</p>
        {isThere || own.length > 0 ? null : <p class="told wrong">{done.onItsWay}</p>}
      </div>
      {next === null ? null : (
        <p>{say('page.confirmed.next', { at: time.timeOf(next.atMs), bed: next.name })}</p>
      )}
      {own.length === 0 || isThere ? null : (
        <p class="told wrong">{say('page.confirmed.not_all')}</p>
      )}
      <TextLines lines={today.deliveries.map((one) => one.line)} />
      {done.missed.length === 0 ? null : (
        <>
          <p>{say('page.confirmed.missed')}</p>
          <TextLines lines={done.missed} />
        </>
      )}
      <a class="next-step" href={pathTo('today')}>
        {say('page.confirmed.back')}
      </a>
    </div>
  );
}

function nextWater(beds: readonly TodayBed[]): { atMs: number; name: string } | null {
  const coming = beds.flatMap(({ name, nextCycleMs }) =>
    nextCycleMs === null ? [] : [{ atMs: nextCycleMs, name }],
  );
  return coming.toSorted((a, b) => a.atMs - b.atMs)[0] ?? null;
}

/** What differs for the beds between two readings, one line each; alike beds have none. */
function bedDifferences(before: readonly TodayBed[], after: readonly TodayBed[]): string[] {
  const byId = new Map(before.map((bed) => [bed.id, bed]));
  return after
    .toSorted((a, b) => (a.name < b.name ? -1 : 1))
    .flatMap((bed) => {
      const was = byId.get(bed.id);
      if (was === undefined) return [say('page.differs.new', { bed: bed.name })];
      const differs =
        was.cycles !== bed.cycles ||
        was.words.net !== bed.words.net ||
        was.words.lowest !== bed.words.lowest;
      if (!differs) return [];
      return [
        say('page.differs.bed', {
          bed: bed.name,
          cyclesBefore: was.cycles,
          netBefore: was.words.net,
          lowestBefore: was.words.lowest,
          cycles: bed.cycles,
          net: bed.words.net,
          lowest: bed.words.lowest,
        }),
      ];
    });
}
