import { useEffect, useState } from 'preact/hooks';
import type { ActionChoice } from '../views/action-view.ts';
import { ActionForm } from './action-form.tsx';
import { readActions } from './api.ts';
import { LookForm } from './look-form.tsx';
import { pathTo, usePage } from './page-context.ts';
import { say } from './words.ts';

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
  if (kind === 'look') return <LookForm first={begin ?? today.beds[0]?.id ?? ''} />;
  if (kind === undefined) return <Choices mayChange={mayChange} />;
  const named = kind.replaceAll('-', '_');
  return (
    <>
      <ActionForm key={named} kind={named} first={begin} />
      {named === 'keep_off' ? <StandingKeepOffs /> : null}
    </>
  );
}

/** Keep-offs that stand, each with the way to end it. */
function StandingKeepOffs() {
  const { keepOffs } = usePage().today;
  if (keepOffs.length === 0) return null;
  return (
    <section aria-labelledby="standing-title">
      <h3 id="standing-title">{say('page.change.stands')}</h3>
      <ul class="lines">
        {keepOffs.map((one) => (
          <li key={one.keepOffId}>
            {one.line}{' '}
            <a class="next-step" href={pathTo('change', 'end-keep-off', String(one.keepOffId))}>
              {say('page.change.over')}
              <span class="only-heard">: {one.why}</span>
            </a>
          </li>
        ))}
      </ul>
    </section>
  );
}

function Choices({ mayChange }: { mayChange: boolean }) {
  const [actions, setActions] = useState<ActionChoice[]>([]);
  useEffect(() => {
    void readActions().then((outcome) => {
      if (outcome.kind === 'well') setActions(outcome.value);
    });
  }, []);
  const [first, ...others] = actions;
  const look = { kind: 'look', name: say('page.look'), when: say('page.look.for') };
  const choices = first === undefined ? [look] : [first, look, ...others];
  return (
    <div>
      <h2 tabIndex={-1}>{say('page.room.change')}</h2>
      <p>{say(mayChange ? 'page.change.how' : 'page.change.watcher')}</p>
      <ul class="choices">
        {choices.map((one) => (
          <li key={one.kind}>
            <a href={pathTo('change', one.kind.replaceAll('_', '-'))}>
              <span class="bed-name">{one.name}</span>
              <span class="small">{one.when}</span>
            </a>
          </li>
        ))}
        {mayChange ? (
          <li>
            <a href={pathTo('setup')}>
              <span class="bed-name">{say('page.room.setup')}</span>
              <span class="small">{say('page.change.setup')}</span>
            </a>
          </li>
        ) : null}
      </ul>
    </div>
  );
}
