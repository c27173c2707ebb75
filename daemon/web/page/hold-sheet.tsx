import { useEffect, useRef, useState } from 'preact/hooks';
import { byName } from './fields.tsx';
import { NameField } from './name-field.tsx';
import { usePage } from './page-context.ts';
import { useHold } from './use-hold.tsx';

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
