import { useState } from 'preact/hooks';
import type { ChangeRequest } from '../views/change-view.ts';
import { ChangeForm } from './change-form.tsx';
import { BedChecks, Stepper, TextField, TimeField } from './fields.tsx';
import { usePage } from './page-context.ts';

const REASONS = [
  'mow',
  'roll',
  'feed',
  'spray',
  'topdress',
  'covers on',
  'visitors',
  'injector armed',
] as const;

/** Keeps water off beds from now on, or ends a keep-off that stands. */
export function KeepOffForm({ first }: { first: string | null }) {
  const { today, time, live } = usePage();
  const [ending, setEnding] = useState<ChangeRequest | null>(null);
  const [beds, setBeds] = useState<string[]>(first === null ? [] : [first]);
  const [why, setWhy] = useState('');
  const [until, setUntil] = useState('');
  const [labelH, setLabelH] = useState(0);
  const isSpray = /^spray/i.test(why);
  const untilMs = until === '' ? null : time.nextAt(until, live.nowMs);
  const isReady = beds.length > 0 && why.trim() !== '';

  if (ending !== null) {
    return (
      <ChangeForm
        title="End a keep-off"
        intro="Water may come to its beds again in the plan that follows."
        change={ending}
      >
        <button type="button" class="quiet" onClick={() => setEnding(null)}>
          Leave it as it is
        </button>
      </ChangeForm>
    );
  }
  return (
    <ChangeForm
      title="Keep-off"
      intro="Plans made from now on keep water off these beds. It does not stop the plan in force: that is what Hold water does."
      change={
        isReady
          ? {
              kind: 'keep_off',
              beds: beds.length === today.beds.length ? 'all' : beds,
              why,
              untilMs,
              labelIntervalS: isSpray ? labelH * 3600 : 0,
            }
          : null
      }
      missing="Choose beds, and say what for."
    >
      {today.keepOffs.length === 0 ? null : (
        <section aria-labelledby="standing-title">
          <h3 id="standing-title">What stands</h3>
          <ul class="lines">
            {today.keepOffs.map((one) => (
              <li key={one.keepOffId}>
                {one.line}
                <div class="actions">
                  {[
                    { byMistake: false, words: 'It is over' },
                    { byMistake: true, words: 'It was a mistake' },
                  ].map(({ byMistake, words }) => (
                    <button
                      key={words}
                      type="button"
                      onClick={() =>
                        setEnding({ kind: 'end_keep_off', keepOffId: one.keepOffId, byMistake })
                      }
                    >
                      {words}
                      <span class="only-heard">: {one.why}</span>
                    </button>
                  ))}
                </div>
              </li>
            ))}
          </ul>
        </section>
      )}
      <TextField name="What for" value={why} most={80} hint={REASONS} set={setWhy} />
      <BedChecks chosen={beds} set={setBeds} />
      <TimeField name="Until (site time; empty: until you end it)" value={until} set={setUntil} />
      {isSpray ? (
        <Stepper
          name="Label keeps water off after the spray for"
          words={`${labelH} h`}
          value={labelH}
          step={1}
          atLeast={0}
          atMost={72}
          set={setLabelH}
        />
      ) : null}
    </ChangeForm>
  );
}
