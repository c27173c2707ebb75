import { useRef, useState } from 'preact/hooks';
import type { LookBody, LookDoneView } from '../views/action-view.ts';
import { logLook } from './api.ts';
import { FocusedHeading, TextLines } from './elements.tsx';
import { BedSelect, NameField, Stepper, TextField } from './fields.tsx';
import { pathTo, usePage } from './page-context.ts';
import { say } from './words.ts';

const SURFACES = ['dark', 'lightening', 'dry', 'puddle', 'wash'] as const;

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
      setProblem(say('page.your_name.first'));
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
        ? say('page.look.unheard')
        : outcome.kind === 'refused'
          ? say('page.look.refused', { message: outcome.error.message })
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
      <h2 tabIndex={-1}>{say('page.look')}</h2>
      <p>{say('page.look.how')}</p>
      <BedSelect bedId={bedId} set={setBedId} />
      <fieldset>
        <legend>{say('page.look.surface')}</legend>
        <div class="hints">
          {SURFACES.map((one) => (
            <button
              key={one}
              type="button"
              aria-pressed={surface === one}
              onClick={() => setSurface(surface === one ? null : one)}
            >
              {say(`page.look.${one}`)}
            </button>
          ))}
        </div>
      </fieldset>
      <details>
        <summary>{say('page.look.more')}</summary>
        <Stepper
          name={say('page.look.cover')}
          words={coverPct === null ? say('page.look.not') : `${coverPct} %`}
          value={coverPct ?? 0}
          step={5}
          atLeast={0}
          atMost={100}
          set={setCover}
        />
        <Stepper
          name={say('page.look.leaf')}
          words={leafMm === null ? say('page.look.not') : `${leafMm} mm`}
          value={leafMm ?? 0}
          step={1}
          atLeast={0}
          atMost={60}
          set={setLeaf}
        />
        <Stepper
          name={say('page.look.probe')}
          words={probePct === null ? say('page.look.no_reading') : `${probePct} %`}
          value={probePct ?? 15}
          step={1}
          atLeast={0}
          atMost={70}
          set={setProbe}
        />
        {probePct === null ? null : (
          <Stepper
            name={say('page.look.depth')}
            words={`${depthMm} mm`}
            value={depthMm}
            step={5}
            atLeast={5}
            atMost={200}
            set={setDepth}
          />
        )}
        <TextField name={say('page.look.note')} value={note} most={500} set={setNote} />
      </details>
      <NameField field={nameField} />
      <div role="alert">{problem === null ? null : <p class="told wrong">{problem}</p>}</div>
      <button type="submit" class="big" disabled={busy || live.away || !mayChange}>
        {say('page.look.log')}
      </button>
    </form>
  );
}

function Logged({ done, bedId }: { done: LookDoneView; bedId: string }) {
  return (
    <div role="status">
      <FocusedHeading>{say('page.look.logged')}</FocusedHeading>
      <TextLines lines={done.lines} />
      <a class="next-step" href={pathTo('change', 'replan')}>
        {say('page.look.plan')}
      </a>
      <a class="next-step" href={pathTo('bed', bedId)}>
        {say('page.look.back')}
      </a>
    </div>
  );
}
