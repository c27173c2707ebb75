import { CallForm } from './change-call.tsx';
import { KeepOffForm } from './change-keep-off.tsx';
import { ReplanForm } from './change-replan.tsx';
import { StageForm } from './change-stage.tsx';
import { RotationForm, TrimForm, WaterForm } from './change-water.tsx';
import { WindForm } from './change-wind.tsx';
import { LookForm } from './look-form.tsx';
import { usePage } from './page-context.ts';
import { pathTo } from './route.ts';

const KINDS = [
  { kind: 'call', name: 'Day call', words: 'The day will be hotter, windier or cloudier' },
  { kind: 'look', name: 'Look', words: 'Log what you see on a bed: dark, lightening, dry' },
  { kind: 'rotation', name: 'One more rotation', words: 'A bed needs water now' },
  { kind: 'water', name: 'Hand water', words: 'Log what a bed was given by hand' },
  { kind: 'trim', name: 'Trim', words: 'A bed gets more or less than is worked out' },
  { kind: 'keep-off', name: 'Keep-off', words: 'Mowing, feeding, a spray, covers: no water' },
  { kind: 'stage', name: 'Stage', words: 'Move beds on by their signs, or one step back' },
  { kind: 'replan', name: 'Fresh plan', words: 'Plan the rest of the day anew, lift a hold' },
] as const;

/**
 * The choice of changes, and the form of one.
 *
 * @param given.first What the form begins with: a bed, or an answer to the wind.
 */
export function ChangePage({
  kind,
  first: begin,
}: {
  kind: string | undefined;
  first: string | null;
}) {
  const { today, mayChange } = usePage();
  const first = begin ?? today.beds[0]?.id ?? '';
  switch (kind) {
    case 'call':
      return <CallForm />;
    case 'look':
      return <LookForm first={first} />;
    case 'rotation':
      return <RotationForm first={first} />;
    case 'water':
      return <WaterForm first={first} />;
    case 'trim':
      return <TrimForm first={first} />;
    case 'keep-off':
      return <KeepOffForm first={begin} />;
    case 'stage':
      return <StageForm first={begin} />;
    case 'wind':
      return <WindForm first={begin} />;
    case 'replan':
      return <ReplanForm />;
    default:
      return (
        <div>
          <h2 tabIndex={-1}>Change</h2>
          <p>
            {mayChange
              ? 'Each change shows what it would do before anything is kept; a look is logged at once.'
              : 'You may look and hold, and try changes out here; a keeper has to keep them.'}
          </p>
          <ul class="choices">
            {KINDS.map((one) => (
              <li key={one.kind}>
                <a href={pathTo('change', one.kind)}>
                  <span class="bed-name">{one.name}</span>
                  <span class="small">{one.words}</span>
                </a>
              </li>
            ))}
            {mayChange ? (
              <li>
                <a href={pathTo('setup')}>
                  <span class="bed-name">Set-up</span>
                  <span class="small">Site, weather, pump, beds, stations, people</span>
                </a>
              </li>
            ) : null}
          </ul>
        </div>
      );
  }
}
