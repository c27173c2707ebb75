import { useEffect, useRef, useState } from 'preact/hooks';
import { useHold } from './use-hold.tsx';
import { useSheet } from './use-sheet.ts';
import { rememberedName } from './who.ts';

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
      {sheet.no !== null ? <Sheet key={sheet.no} close={sheet.close} tell={setLine} /> : null}
    </section>
  );
}

function Sheet({ close, tell }: { close(): void; tell(line: string): void }) {
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
