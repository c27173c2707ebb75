import { useEffect, useState } from 'preact/hooks';
import type { BedView } from '../views/bed-view.ts';
import { readBed } from './api.ts';
import { device } from './this-device.ts';

/** One bed as last read; it is read again whenever today changes. */
export function useBed(
  bedId: string,
  version: string,
): { view: BedView | null; problem: string | null } {
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
      setProblem(outcome.kind === 'away' ? 'The daemon does not answer.' : refusal);
    });
    return () => {
      isCurrent = false;
    };
    // The version stands for everything that a reading tells.
  }, [bedId, version]);
  return { view: view?.bed.id === bedId ? view : null, problem };
}
