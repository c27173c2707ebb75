import { useState } from 'preact/hooks';
import { ChangeForm } from './change-form.tsx';
import { BedSelect, Stepper, TextField, TimeField } from './fields.tsx';
import { usePage } from './page-context.ts';

const MM_PER_INCH = 25.4;

/** One rotation more, or a few, now. */
export function RotationForm({ first }: { first: string }) {
  const [bedId, setBedId] = useState(first);
  const [rotations, setRotations] = useState(1);
  return (
    <ChangeForm
      title="One more rotation"
      intro="Beside what is planned, as soon as the new revision is confirmed and the limits allow."
      change={{ kind: 'rotation', bedId, rotations }}
    >
      <BedSelect bedId={bedId} set={setBedId} />
      <Stepper
        name="Whole rotations"
        words={String(rotations)}
        value={rotations}
        step={1}
        atLeast={1}
        atMost={5}
        set={setRotations}
      />
    </ChangeForm>
  );
}

/** Water that a person gave by hand, so that the day's sum counts it. */
export function WaterForm({ first }: { first: string }) {
  const { today, time, live } = usePage();
  const [bedId, setBedId] = useState(first);
  const isUs = today.site.units === 'us';
  const [depth, setDepth] = useState(isUs ? 0.04 : 1);
  const [at, setAt] = useState('');
  const netMm = isUs ? depth * MM_PER_INCH : depth;
  const startMs = at === '' ? null : lastAt(at, live.nowMs, time.nextAt);
  return (
    <ChangeForm
      title="Hand water"
      intro="What the bed was given by hose or by a valve opened by hand. The plan counts it up to what the seedbed could hold."
      change={depth > 0 ? { kind: 'water', bedId, amount: { netMm }, startMs } : null}
      missing="Give a depth above zero."
    >
      <BedSelect bedId={bedId} set={setBedId} />
      <Stepper
        name="Depth over the bed"
        words={isUs ? `${depth.toFixed(2)} in` : `${depth.toFixed(1)} mm`}
        value={depth}
        step={isUs ? 0.01 : 0.25}
        atLeast={isUs ? 0.01 : 0.25}
        atMost={isUs ? 0.5 : 12}
        set={setDepth}
      />
      <TimeField name="When (site time; empty: just now)" value={at} set={setAt} />
    </ChangeForm>
  );
}

/** A percentage on the dose of one bed. */
export function TrimForm({ first }: { first: string }) {
  const { today } = usePage();
  const [bedId, setBedId] = useState(first);
  const standsPct = today.beds.find((bed) => bed.id === bedId)?.trimPct ?? 100;
  const [trimPct, setTrimPct] = useState(standsPct);
  const [why, setWhy] = useState('');
  const isReady = trimPct !== standsPct && why.trim() !== '';
  return (
    <ChangeForm
      title="Trim"
      intro={`It stands at ${standsPct} %; 100 % leaves the dose as it is worked out. It stands until it is set anew.`}
      change={isReady ? { kind: 'trim', bedId, trimPct, why } : null}
      missing="Move the trim, and say what you saw."
    >
      <BedSelect
        bedId={bedId}
        set={(next) => {
          setBedId(next);
          setTrimPct(today.beds.find((bed) => bed.id === next)?.trimPct ?? 100);
        }}
      />
      <Stepper
        name="Dose"
        words={`${trimPct} %`}
        value={trimPct}
        step={5}
        atLeast={25}
        atMost={300}
        set={setTrimPct}
      />
      <TextField
        name="What you saw"
        value={why}
        hint={['dries out first', 'stays wet', 'shade', 'wind']}
        set={setWhy}
      />
    </ChangeForm>
  );
}

/** The last time before now at which the site's clock read so. */
function lastAt(
  text: string,
  nowMs: number,
  nextAt: (text: string, afterMs: number) => number | null,
): number | null {
  const DAY_MS = 24 * 3_600_000;
  const found = [nowMs - DAY_MS - 3_600_000, nowMs - DAY_MS / 2, nowMs - 3_600_000]
    .map((fromMs) => nextAt(text, fromMs))
    .filter((atMs): atMs is number => atMs !== null && atMs <= nowMs);
  return found.length === 0 ? null : Math.max(...found);
}
