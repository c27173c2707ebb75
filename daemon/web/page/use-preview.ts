import { useEffect, useState } from 'preact/hooks';
import type { ActionRequest, PreviewView } from '../views/change-view.ts';
import { preview } from './api.ts';

/** Taps that follow one another this fast are one thought. */
const SETTLE_MS = 150;

export interface Previewed {
  view: PreviewView | null;
  problem: string | null;
  /** Being worked out: what is shown belongs to the thought before. */
  busy: boolean;
}

/** What a change would do, worked out anew with each thought; nothing of it is kept. */
export function usePreview(change: ActionRequest | null): Previewed {
  const [previewed, setPreviewed] = useState<Previewed>({
    view: null,
    problem: null,
    busy: false,
  });
  const thought = change === null ? '' : JSON.stringify(change);
  useEffect(() => {
    if (thought === '') {
      setPreviewed({ view: null, problem: null, busy: false });
      return;
    }
    let isCurrent = true;
    setPreviewed((before) => ({ ...before, busy: true }));
    const timer = setTimeout(async () => {
      const outcome = await preview(JSON.parse(thought) as ActionRequest);
      if (!isCurrent) return;
      if (outcome.kind === 'well') {
        setPreviewed({ view: outcome.value, problem: null, busy: false });
        return;
      }
      const problem =
        outcome.kind === 'away' ? 'The daemon does not answer.' : outcome.error.message;
      setPreviewed({ view: null, problem, busy: false });
    }, SETTLE_MS);
    return () => {
      isCurrent = false;
      clearTimeout(timer);
    };
  }, [thought]);
  return previewed;
}
