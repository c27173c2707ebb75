import type { ComponentChildren } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { HoldBody } from '../views/action-view.ts';
import { holdWater } from './api.ts';
import { byName, NameField } from './fields.tsx';
import { usePage } from './page-context.ts';
import { rememberedName } from './this-device.ts';

/** Stops water: opening this is the first tap, the bed or everything is the second. */
export function HoldSheet({ bedId, close }: { bedId: string | null; close(): void }) {
  const { today, who, live, tell, time } = usePage();
  const [why, setWhy] = useState('');
  const [until, setUntil] = useState('');
  const { busy, told, put } = useHold(live.away, live.read);
  const sheet = useRef<HTMLDialogElement>(null);
  useEffect(() => sheet.current?.showModal(), []);
  const first = today.beds.filter((bed) => bed.id === bedId);
  const beds = [...first, ...byName(today.beds.filter((bed) => bed.id !== bedId))];

  const hold = async (which: 'all' | string[]) => {
    const untilMs = until === '' ? null : time.nextAt(until, live.nowMs);
    const done = await put({ beds: which, why, untilMs, who });
    if (done === null) return;
    tell(done.line, 'well', done.holdId);
    close();
    await live.read();
  };

  return (
    <dialog ref={sheet} class="sheet" aria-labelledby="hold-title" onClose={close}>
      <h2 id="hold-title">Hold water</h2>
      {live.away ? null : (
        <p>One tap stops it now. Starting again takes a fresh plan that a person confirms.</p>
      )}
      {told}
      <button type="button" class="hold big" disabled={busy} onClick={() => void hold('all')}>
        Hold all beds
      </button>
      <p>Or one bed alone:</p>
      <ul class="bed-buttons">
        {beds.map((bed) => (
          <li key={bed.id}>
            <button type="button" disabled={busy} onClick={() => void hold([bed.id])}>
              <span class="only-heard">Hold </span>
              {bed.name}
              {bed.held ? <span class="tag">on hold</span> : null}
            </button>
          </li>
        ))}
      </ul>
      <details>
        <summary>Say why, who, or until when</summary>
        <label>
          Why (may stay empty)
          <input value={why} onInput={(event) => setWhy(event.currentTarget.value)} />
        </label>
        <label>
          Keep dry until (site time; empty: until a fresh plan)
          <input
            type="time"
            value={until}
            onInput={(event) => setUntil(event.currentTarget.value)}
          />
        </label>
        <NameField />
      </details>
      <button type="button" class="quiet" onClick={() => sheet.current?.close()}>
        Close, hold nothing
      </button>
    </dialog>
  );
}

/** Stops all water for one who has not signed in: the first tap opens the sheet, the second stops. */
export function HoldUnsigned() {
  const sheet = useSheet();
  const [line, setLine] = useState<string | null>(null);
  return (
    <section aria-labelledby="stop-title">
      <h2 id="stop-title">Stop water without signing in</h2>
      <div role="status">{line === null ? null : <p class="told well">{line}</p>}</div>
      <button type="button" class="hold" onClick={sheet.open}>
        Hold water
      </button>
      {sheet.no !== null ? (
        <UnsignedSheet key={sheet.no} close={sheet.close} tell={setLine} />
      ) : null}
    </section>
  );
}

function UnsignedSheet({ close, tell }: { close(): void; tell(line: string): void }) {
  const [who, setWho] = useState(rememberedName);
  const hold = useHold(false);
  const sheet = useRef<HTMLDialogElement>(null);
  useEffect(() => sheet.current?.showModal(), []);
  const holdAll = async () => {
    const done = await hold.put({ beds: 'all', why: '', untilMs: null, who });
    if (done === null) return;
    tell(done.line);
    close();
  };
  return (
    <dialog ref={sheet} class="sheet" aria-labelledby="hold-title" onClose={close}>
      <h2 id="hold-title">Hold water</h2>
      <p>
        One tap stops it now, and the log says from which address. Starting again takes a fresh plan
        that a person confirms.
      </p>
      {hold.told}
      <button type="button" class="hold big" disabled={hold.busy} onClick={() => void holdAll()}>
        Hold all beds
      </button>
      <label>
        Your name (may stay empty)
        <input
          value={who}
          maxLength={60}
          autoComplete="name"
          onInput={(event) => setWho(event.currentTarget.value)}
        />
      </label>
      <button type="button" class="quiet" onClick={() => sheet.current?.close()}>
        Close, hold nothing
      </button>
    </dialog>
  );
}

/** A hold that was put on, in words, and its id. */
interface PlacedHold {
  line: string;
  holdId: number;
}

/** Puts holds on, and says aloud when one did not come about. */
interface Hold {
  busy: boolean;
  /** What went wrong, or nothing; stands where it is heard at once. */
  told: ComponentChildren;
  /** @returns What the daemon answered; null: there is no hold, and `told` says why. */
  put(body: HoldBody): Promise<PlacedHold | null>;
}

/** A hold in the same words whoever puts it on; `onTold` when it came about in part. */
function useHold(isAway: boolean, onTold: () => Promise<void> = async () => {}): Hold {
  const [busy, setBusy] = useState(false);
  const [failed, setFailed] = useState<string | null>(null);
  const [unheard, setUnheard] = useState(false);
  return {
    busy,
    told: (
      <div role="alert">
        {failed === null ? null : <p class="told wrong lines">{failed}</p>}
        {unheard || isAway ? (
          <p class="told wrong">
            {unheard ? 'NOT on hold: the daemon does not answer.' : 'The daemon does not answer.'}{' '}
            To stop water now, <ManualStopNote />
          </p>
        ) : null}
      </div>
    ),
    async put(body) {
      setBusy(true);
      setFailed(null);
      setUnheard(false);
      const outcome = await holdWater(body);
      setBusy(false);
      if (outcome.kind === 'well') {
        const { line, outputs, holdId } = outcome.value;
        const said = `${line} ${outputs.join('; ')}. Water starts again only with a fresh plan that is confirmed.`;
        return { line: said, holdId };
      }
      if (outcome.kind === 'refused') {
        const { code, message } = outcome.error;
        // What reached some outputs, or all but the store, says itself what is true.
        const isTold = code === 'not_stopped' || code === 'hold_unwritten';
        setFailed(isTold ? message : `NOT on hold. ${message}`);
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
  return (
    <>
      close the valve or the main by hand, type <code>npx dewbeat hold</code> on the daemon’s
      machine, or call somebody who can.
    </>
  );
}
