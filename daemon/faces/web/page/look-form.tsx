import { useRef, useState } from 'preact/hooks';
import type { LookBody, LookDoneView } from '../views/action-view.ts';
import { logLook } from './api.ts';
import { FocusedHeading, TextLines } from './elements.tsx';
import { BedSelect, NameField, Stepper, TextField } from './fields.tsx';
import { pathTo, usePage } from './page-context.ts';

const SURFACES = [
  { surface: 'dark', words: 'dark: moist' },
  { surface: 'lightening', words: 'lightening' },
  { surface: 'dry', words: 'dry' },
  { surface: 'puddle', words: 'puddle' },
  { surface: 'wash', words: 'wash: seed moved' },
] as const;

/** What a person sees on a bed, in a few taps; the next plan starts from it. */
export function LookForm({ first }: { first: string }) {
  const { live, who, mayChange } = usePage();
  const [bedId, setBedId] = useState(first);
  const [surface, setSurface] = useState<LookBody['surface'] | null>(null);
  const [coverPct, setCover] = useState<number | null>(null);
  const [leafMm, setLeaf] = useState<number | null>(null);
  const [probePct, setProbe] = useState<number | null>(null);
  const [depthMm, setDepth] = useState(10);
  const [note, setNote] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const [done, setDone] = useState<LookDoneView | null>(null);
  const [busy, setBusy] = useState(false);
  const nameField = useRef<HTMLInputElement>(null);

  const send = async () => {
    if (who.trim() === '') {
      setProblem('Give your name first.');
      nameField.current?.focus();
      return;
    }
    setBusy(true);
    const outcome = await logLook({
      bedId,
      who,
      ...(surface === null || surface === undefined ? {} : { surface }),
      ...(coverPct === null ? {} : { coverFraction: coverPct / 100 }),
      ...(leafMm === null ? {} : { leafMm }),
      ...(probePct === null ? {} : { probeFraction: probePct / 100, probeDepthMm: depthMm }),
      ...(note.trim() === '' ? {} : { note }),
    });
    setBusy(false);
    setProblem(
      outcome.kind === 'away'
        ? 'Not logged: the daemon does not answer.'
        : outcome.kind === 'refused'
          ? `Not logged. ${outcome.error.message}`
          : null,
    );
    if (outcome.kind === 'well') setDone(outcome.value);
    await live.read();
  };

  if (done !== null) return <Logged done={done} bedId={bedId} />;
  return (
    <form
      class="change-form"
      onSubmit={(event) => {
        event.preventDefault();
        void send();
      }}
    >
      <h2 tabIndex={-1}>Look</h2>
      <p>What you see on the turf now. The next plan starts from it, and the model learns.</p>
      <BedSelect bedId={bedId} set={setBedId} />
      <fieldset>
        <legend>The surface is</legend>
        <div class="hints">
          {SURFACES.map((one) => (
            <button
              key={one.surface}
              type="button"
              aria-pressed={surface === one.surface}
              onClick={() => setSurface(surface === one.surface ? null : one.surface)}
            >
              {one.words}
            </button>
          ))}
        </div>
      </fieldset>
      <details>
        <summary>Cover, leaf, a probe’s reading, a note</summary>
        <Stepper
          name="Green cover"
          words={coverPct === null ? 'not looked at' : `${coverPct} %`}
          value={coverPct ?? 0}
          step={5}
          atLeast={0}
          atMost={100}
          set={setCover}
        />
        <Stepper
          name="Leaf"
          words={leafMm === null ? 'not looked at' : `${leafMm} mm`}
          value={leafMm ?? 0}
          step={1}
          atLeast={0}
          atMost={60}
          set={setLeaf}
        />
        <Stepper
          name="Probe: water by volume"
          words={probePct === null ? 'no reading' : `${probePct} %`}
          value={probePct ?? 15}
          step={1}
          atLeast={0}
          atMost={70}
          set={setProbe}
        />
        {probePct === null ? null : (
          <Stepper
            name="Depth of the reading"
            words={`${depthMm} mm`}
            value={depthMm}
            step={5}
            atLeast={5}
            atMost={200}
            set={setDepth}
          />
        )}
        <TextField name="Note" value={note} most={500} set={setNote} />
      </details>
      <NameField field={nameField} />
      <div role="alert">{problem === null ? null : <p class="told wrong">{problem}</p>}</div>
      <button type="submit" class="big" disabled={busy || live.away || !mayChange}>
        Log this look
      </button>
    </form>
  );
}

function Logged({ done, bedId }: { done: LookDoneView; bedId: string }) {
  return (
    <div role="status">
      <FocusedHeading>Look logged</FocusedHeading>
      <TextLines lines={done.lines} />
      <a class="next-step" href={pathTo('change', 'replan')}>
        Make a fresh plan from it
      </a>
      <a class="next-step" href={pathTo('bed', bedId)}>
        Back to the bed
      </a>
    </div>
  );
}
