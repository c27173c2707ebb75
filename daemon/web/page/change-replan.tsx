import { useState } from 'preact/hooks';
import { ChangeForm } from './change-form.tsx';
import { usePage } from './page-context.ts';

/** Plans the rest of the day anew; with it, water for beds that are on hold. */
export function ReplanForm() {
  const { today } = usePage();
  const held = today.holds.length > 0;
  const [lift, setLift] = useState<'none' | 'all'>('none');
  return (
    <ChangeForm
      title="Fresh plan"
      intro="Plans from now to the end of the day, with the weather and everything logged up to now."
      change={{ kind: 'replan', lift }}
    >
      {held ? (
        <fieldset>
          <legend>Beds on hold</legend>
          <ul class="lines">
            {today.holds.map((hold) => (
              <li key={hold.holdId}>{hold.line}</li>
            ))}
          </ul>
          {(
            [
              ['none', 'They stay dry in the fresh plan'],
              ['all', 'Water them again: confirming the fresh plan lifts the hold'],
            ] as const
          ).map(([value, words]) => (
            <label key={value} class="caution">
              <input
                type="radio"
                name="lift"
                checked={lift === value}
                onChange={() => setLift(value)}
              />
              <span>{words}</span>
            </label>
          ))}
        </fieldset>
      ) : null}
    </ChangeForm>
  );
}
