import { usePage } from './page-context.ts';
import { pathTo } from './route.ts';
import { WindAsked } from './wind-asked.tsx';

/** Is anything held, or waiting for me? */
export function Waiting() {
  const { today } = usePage();
  const { waiting, inForce, newest, question } = today;
  return (
    <section aria-labelledby="waiting-title" class="waiting">
      <h2 id="waiting-title" tabIndex={-1}>
        {waiting.every((one) => one.severity === 'note')
          ? 'Nothing waits for you'
          : 'Waiting for you'}
      </h2>
      <ul class="lines">
        {waiting.map((one) => (
          <li
            key={`${one.kind} ${one.text}`}
            class={one.severity === 'note' ? '' : 'needs-person'}
            data-kind={one.kind}
          >
            {one.severity === 'danger' ? <strong>Now: </strong> : null}
            {one.kind === 'question' && question !== null ? <WindAsked {...question} /> : one.text}
            {one.kind === 'hold' || one.kind === 'outdated_plan' || one.kind === 'no_plan' ? (
              <a class="next-step" href={pathTo('change', 'replan')}>
                Make a fresh plan
              </a>
            ) : null}
          </li>
        ))}
      </ul>
      <p>{inForce === null ? 'No plan is in force: no water runs.' : inForce.line}</p>
      {newest !== null && newest.standing !== 'held' && inForce?.revision !== newest.revision ? (
        <p>{newest.standingLine}</p>
      ) : null}
    </section>
  );
}
