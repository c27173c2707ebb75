import { useState } from 'preact/hooks';

/** Whether a sheet is open, and which: each press opens one of its own. */
export interface Sheet {
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
