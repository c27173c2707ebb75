import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { HoldBody } from '../views/action-view.ts';
import { stopWater } from './api.ts';
import { byName, NameField } from './fields.tsx';
import { pathTo, type Route, usePage } from './page-context.ts';
import { rememberedName } from './this-device.ts';
import { say, sayWith } from './words.ts';

/** Stops water: opening this is the first tap, the bed or everything is the second. */
export function StopSheet({ bedId, close }: { bedId: string | null; close(): void }) {
  const { today, who, live, tell, time } = usePage();
  const [why, setWhy] = useState('');
  const [until, setUntil] = useState('');
  const { busy, told, put } = useStop(live.away, live.read);
  const sheet = useRef<HTMLDialogElement>(null);
  useEffect(() => sheet.current?.showModal(), []);
  const first = today.beds.filter((bed) => bed.id === bedId);
  const beds = [...first, ...byName(today.beds.filter((bed) => bed.id !== bedId))];

  const stop = async (which: 'all' | string[]) => {
    const untilMs = until === '' ? null : time.nextAt(until, live.nowMs);
    const done = await put({ beds: which, why, untilMs, who });
    if (done === null) return;
    tell(done.line, 'well', done.holdId);
    close();
    await live.read();
  };

  return (
    <dialog ref={sheet} class="sheet" aria-labelledby="stop-title" onClose={close}>
      <h2 id="stop-title">{say('page.stop')}</h2>
      {live.away ? null : <p>{say('page.stop.how')}</p>}
      {told}
      <button type="button" class="hold big" disabled={busy} onClick={() => void stop('all')}>
        {say('page.stop.all')}
      </button>
      <p>{say('page.stop.or_one')}</p>
      <ul class="bed-buttons">
        {beds.map((bed) => (
          <li key={bed.id}>
            <button type="button" disabled={busy} onClick={() => void stop([bed.id])}>
              <span class="only-heard">{say('page.stop.one')} </span>
              {bed.name}
              {bed.held ? <span class="tag">{say('page.tag.stopped')}</span> : null}
            </button>
          </li>
        ))}
      </ul>
      <details>
        <summary>{say('page.stop.more')}</summary>
        <label>
          {say('page.stop.why')}
          <input value={why} onInput={(event) => setWhy(event.currentTarget.value)} />
        </label>
        <label>
          {say('page.stop.until')}
          <input
            type="time"
            value={until}
            onInput={(event) => setUntil(event.currentTarget.value)}
          />
        </label>
        <NameField />
      </details>
      <button type="button" class="quiet" onClick={() => sheet.current?.close()}>
        {say('page.stop.nothing')}
      </button>
    </dialog>
  );
}

/** Stops all water for one who has not signed in: the first tap opens the sheet, the second stops. */
export function StopUnsigned() {
  const sheet = useSheet();
  const [line, setLine] = useState<string | null>(null);
  return (
    <section aria-labelledby="unsigned-title">
      <h2 id="unsigned-title">{say('page.stop.unsigned')}</h2>
      <div role="status">{line === null ? null : <p class="told well">{line}</p>}</div>
      <button type="button" class="hold" onClick={sheet.open}>
        {say('page.stop')}
      </button>
      {sheet.no !== null ? (
        <UnsignedSheet key={sheet.no} close={sheet.close} tell={setLine} />
      ) : null}
    </section>
  );
}

function UnsignedSheet({ close, tell }: { close(): void; tell(line: string): void }) {
  const [who, setWho] = useState(rememberedName);
  const { busy, told, put } = useStop(false);
  const sheet = useRef<HTMLDialogElement>(null);
  useEffect(() => sheet.current?.showModal(), []);
  const stopAll = async () => {
    const done = await put({ beds: 'all', why: '', untilMs: null, who });
    if (done === null) return;
    tell(done.line);
    close();
  };
  return (
    <dialog ref={sheet} class="sheet" aria-labelledby="stop-title" onClose={close}>
      <h2 id="stop-title">{say('page.stop')}</h2>
      <p>{say('page.stop.how_unsigned')}</p>
      {told}
      <button type="button" class="hold big" disabled={busy} onClick={() => void stopAll()}>
        {say('page.stop.all')}
      </button>
      <label>
        {say('page.your_name.or_not')}
        <input
          value={who}
          maxLength={60}
          autoComplete="name"
          onInput={(event) => setWho(event.currentTarget.value)}
        />
      </label>
      <button type="button" class="quiet" onClick={() => sheet.current?.close()}>
        {say('page.stop.nothing')}
      </button>
    </dialog>
  );
}

/** Water that was stopped, in words, and the id of the stop. */
interface Stopped {
  line: string;
  holdId: number;
}

/** Stops water, and says aloud when it was not stopped. */
interface Stop {
  busy: boolean;
  /** What went wrong, or nothing; stands where it is heard at once. */
  told: ComponentChildren;
  /** @returns What the daemon answered; null: nothing was stopped, and `told` says why. */
  put(body: HoldBody): Promise<Stopped | null>;
}

/** A stop in the same words whoever asks for it; `onTold` when it came about in part. */
function useStop(isAway: boolean, onTold: () => Promise<void> = async () => {}): Stop {
  const [busy, setBusy] = useState(false);
  const [failed, setFailed] = useState<string | null>(null);
  const [unheard, setUnheard] = useState(false);
  return {
    busy,
    told: (
      <div role="alert">
        {failed === null ? null : <p class="told wrong">{failed}</p>}
        {unheard || isAway ? (
          <p class="told wrong">
            {say(unheard ? 'page.stop.away' : 'page.away')} <ManualStopNote />
          </p>
        ) : null}
      </div>
    ),
    async put(body) {
      setBusy(true);
      setFailed(null);
      setUnheard(false);
      const outcome = await stopWater(body);
      setBusy(false);
      if (outcome.kind === 'well') {
        const { line, outputs, holdId } = outcome.value;
        return { line: [line, ...outputs, say('page.stop.stays')].join('\n'), holdId };
      }
      if (outcome.kind === 'refused') {
        const { code, message } = outcome.error;
        // What reached some outputs, or all but the store, says itself what is true.
        const isTold = code === 'not_stopped' || code === 'hold_unwritten';
        setFailed(isTold ? message : say('page.stop.refused', { message }));
        if (isTold) await onTold();
      } else setUnheard(true);
      return null;
    },
  };
}

/** Whether a sheet is open, and which: each press opens one of its own. */
interface Sheet {
  /** Null: none is open. */
  no: number | null;
  open(): void;
  /** Closes the one that is open now; heard late, of one that is gone, it closes nothing. */
  close(): void;
}

/**
 * A sheet that a press always opens. The browser tells some while later that one was closed: by then
 * a person may have pressed again, and that press must not be lost.
 */
export function useSheet(): Sheet {
  const [{ no }, set] = useState<{ no: number | null; last: number }>({ no: null, last: 0 });
  return {
    no,
    open: () => set((now) => ({ no: now.last + 1, last: now.last + 1 })),
    close: () => set((now) => (now.no === no ? { ...now, no: null } : now)),
  };
}

/** How water is stopped without the daemon: the same words wherever the page cannot stop it. */
export function ManualStopNote() {
  return <>{sayWith('page.stop.by_hand', { command: <code>npx dewbeat stop-water</code> })}</>;
}

/** Screens that say themselves that water is stopped, or that lead to its release. */
const SAYS_ITSELF: readonly Route['room'][] = ['today', 'confirm', 'paper'];

/** Water that is stopped, wherever a person is, with the way back. */
export function StoppedBanner({ route }: { route: Route }) {
  const { holds } = usePage().today;
  const isReleasing = route.room === 'change' && route.rest[0] === 'release';
  if (holds.length === 0 || isReleasing || SAYS_ITSELF.includes(route.room)) return null;
  return (
    <div class="needs-person-note stopped">
      {holds.map(({ holdId, line }) => (
        <p key={holdId}>{line}</p>
      ))}
      <ReleaseLink />
    </div>
  );
}

/** The way back from a stop: the form of the release, or the plan that waits with it. */
export function ReleaseLink() {
  const { today, mayChange } = usePage();
  const { newest, holds } = today;
  if (!mayChange) return null;
  const isPlanned =
    newest?.standing === 'held' && holds.every(({ holdId }) => newest.liftsHolds.includes(holdId));
  return isPlanned ? (
    <a class="next-step" href={pathTo('confirm')}>
      {say('page.kept.confirm', { plan: newest.revision })}
    </a>
  ) : (
    <a class="next-step" href={pathTo('change', 'release')}>
      {say('page.release')}
    </a>
  );
}
