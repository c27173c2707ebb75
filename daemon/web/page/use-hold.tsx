import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import type { HoldBody } from '../views/change-view.ts';
import { holdWater } from './api.ts';
import { StopByHand } from './stop-by-hand.tsx';

/** A hold that was put on, in words, and its id. */
export interface HoldPut {
  line: string;
  holdId: number;
}

/** Puts holds on, and says aloud when one did not come about. */
export interface Hold {
  busy: boolean;
  /** What went wrong, or nothing; stands where it is heard at once. */
  told: ComponentChildren;
  /** @returns What the daemon answered; null: there is no hold, and `told` says why. */
  put(body: HoldBody): Promise<HoldPut | null>;
}

/** A hold in the same words whoever puts it on; `onTold` when it came about in part. */
export function useHold(isAway: boolean, onTold: () => Promise<void> = async () => {}): Hold {
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
            To stop water now, <StopByHand />
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
