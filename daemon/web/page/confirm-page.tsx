import { useRef, useState } from 'preact/hooks';
import type { ApiError, ConfirmView } from '../views/change-view.ts';
import { confirmPlan } from './api.ts';
import { bedDifferences } from './bed-differences.ts';
import { Confirmed } from './confirmed.tsx';
import { NameField } from './name-field.tsx';
import { usePage } from './page-context.ts';
import { pathTo } from './route.ts';
import { Texts } from './texts.tsx';

/** More than these are folded: the first screen has told them. */
const FEW = 2;

/** Lets exactly the plan out that a person has read here. */
export function ConfirmPage() {
  const { today, live, who, mayChange } = usePage();
  // The plan that this person reads. A newer one never slips in under their ticks.
  const [read, setRead] = useState(today);
  const [ticked, setTicked] = useState<readonly string[]>([]);
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
  const lifted = read.holds.filter((hold) => newest.liftsHolds.includes(hold.holdId));
  const readAgain = () => {
    setRead(today);
    setTicked([]);
    setRefused(null);
    setMissing(null);
  };

  const send = async () => {
    const unticked = cautions.filter(({ code }) => !ticked.includes(code));
    if (who.trim() === '') {
      setMissing('Give your name first.');
      nameField.current?.focus();
      return;
    }
    if (unticked.length > 0) {
      setMissing('Look at each caution and tick it first.');
      document.getElementById(`caution-${unticked[0]?.code}`)?.focus();
      return;
    }
    setMissing(null);
    setBusy(true);
    const { revision, digest } = newest;
    const outcome = await confirmPlan({ revision, digest, who, cautions: [...ticked] });
    setBusy(false);
    if (outcome.kind === 'well') setDone(outcome.value);
    else if (outcome.kind === 'refused') setRefused(outcome.error);
    else setMissing('NOT confirmed, as far as this page knows: the daemon does not answer.');
    await live.read();
  };

  return (
    <div class="confirm-page">
      <h2 tabIndex={-1}>Confirm revision {newest.revision}</h2>
      <p class="standing">{newest.standingLine}</p>
      <p>
        {newest.causeLine} {newest.cycles} cycles on {read.beds.length} beds. Digest{' '}
        <span class="digest">{newest.shortDigest}</span>.
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
      {lifted.length === 0 ? null : (
        <div class="needs-person-note">
          <p>
            <strong>Confirming it lifts a hold. Water comes to these beds again:</strong>
          </p>
          <ul>
            {lifted.map((hold) => (
              <li key={hold.holdId}>{hold.line}</li>
            ))}
          </ul>
        </div>
      )}
      <h3>What changed since the last confirmed plan</h3>
      <Changes changes={read.changes} />
      {read.shortages.length === 0 ? null : (
        <details open={read.shortages.length <= FEW}>
          <summary>What does not fit: {read.shortages.length}</summary>
          <ul class="lines">
            {read.shortages.map((one) => (
              <li key={`${one.bedId} ${one.fromMs}`} class="needs-person">
                {one.line}
              </li>
            ))}
          </ul>
        </details>
      )}
      <p>
        <a href={pathTo('line')}>Look at the day line first</a>
      </p>
      <fieldset>
        <legend>Have you looked?</legend>
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
      <NameField field={nameField} />
      <div role="alert">{missing === null ? null : <p class="told wrong">{missing}</p>}</div>
      {live.away ? (
        <p class="told wrong">The daemon does not answer: nothing can be confirmed now.</p>
      ) : null}
      <button
        type="button"
        class="confirm big"
        disabled={busy || live.away || !isNewest || !mayChange}
        onClick={() => void send()}
      >
        Confirm: let the water run
      </button>
      {mayChange ? null : <p>You may look and hold; a keeper has to confirm.</p>}
    </div>
  );
}

function Changes({ changes }: { changes: { againstRevision: number | null; lines: string[] } }) {
  if (changes.againstRevision === null) return <p>No plan of this day was confirmed before.</p>;
  if (changes.lines.length === 0)
    return <p>Nothing, against revision {changes.againstRevision}.</p>;
  return (
    <>
      <p>Against revision {changes.againstRevision}:</p>
      <Texts lines={changes.lines} />
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
        <strong>
          {refused === null ? 'A newer plan was made while you read this one.' : refused.message}
        </strong>
      </p>
      {lines.length === 0 ? null : (
        <>
          <p>What changed against the plan that you read:</p>
          <ul>
            {lines.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </>
      )}
      <button type="button" onClick={readAgain}>
        Read the newest plan
      </button>
    </div>
  );
}

function NothingToConfirm({ readNewest }: { readNewest(): void }) {
  const { today } = usePage();
  return (
    <div>
      <h2 tabIndex={-1}>Nothing to confirm</h2>
      <p>{today.newest?.standingLine ?? 'There is no plan yet.'}</p>
      {today.newest?.standing === 'held' ? (
        <button type="button" class="confirm" onClick={readNewest}>
          Read revision {today.newest.revision}
        </button>
      ) : (
        <a class="next-step" href={pathTo('change', 'replan')}>
          Make a fresh plan
        </a>
      )}
    </div>
  );
}
