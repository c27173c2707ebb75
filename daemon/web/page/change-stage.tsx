import { useState } from 'preact/hooks';
import type { ChangeRequest } from '../views/change-view.ts';
import { ChangeForm } from './change-form.tsx';
import { BedChecks, TextField } from './fields.tsx';
import { usePage } from './page-context.ts';
import { useBed } from './use-bed.ts';

const BACK = 'back';

/** Moves beds to another stage by their signs, or one step back. */
export function StageForm({ first }: { first: string | null }) {
  const { today } = usePage();
  const [beds, setBeds] = useState<string[]>(first === null ? [] : [first]);
  const [to, setTo] = useState('');
  const [why, setWhy] = useState('');
  // The stages and their signs come with a bed: that of the first one chosen.
  const { view } = useBed(beds[0] ?? today.beds[0]?.id ?? '', today.version);
  const stage = view?.stage ?? null;
  const isReady = beds.length > 0 && to !== '' && why.trim() !== '';
  const change: ChangeRequest | null = !isReady
    ? null
    : to === BACK
      ? { kind: 'stage_back', bedIds: beds, why }
      : { kind: 'stage', bedIds: beds, to, why };
  return (
    <ChangeForm
      title="Stage"
      intro="A stage moves by what you saw, never by a date alone. One step back takes one tap."
      change={change}
      missing="Choose beds, a stage, and say what you saw."
    >
      <BedChecks chosen={beds} set={setBeds} />
      {stage === null ? null : (
        <>
          {beds.length === 0 ? null : (
            <p>
              {view?.bed.name} stands at {stage.stage.replaceAll('_', ' ')}. {stage.sinceLine}
            </p>
          )}
          <fieldset>
            <legend>Move to</legend>
            <div class="hints">
              {[
                ...stage.stages.map((one) => ({ to: one, words: one.replaceAll('_', ' ') })),
                { to: BACK, words: 'one step back' },
              ].map((one) => (
                <button
                  key={one.to}
                  type="button"
                  aria-pressed={to === one.to}
                  onClick={() => setTo(one.to)}
                >
                  {one.words}
                </button>
              ))}
            </div>
          </fieldset>
          <TextField
            name="What you saw"
            value={why}
            hint={stage.signs.map((sign) => sign.replace(/\.$/, '').slice(0, 200))}
            set={setWhy}
          />
        </>
      )}
    </ChangeForm>
  );
}
