import type { RunState } from '../views/day-line-view.ts';

/** The states in the order in which a cycle goes through them, in words. */
export const STATE_WORDS: readonly { state: RunState; words: string }[] = [
  { state: 'planned', words: 'planned, not confirmed or not sent' },
  { state: 'sent', words: 'sent, no answer yet' },
  { state: 'accepted', words: 'accepted by the receiver' },
  { state: 'running', words: 'running now' },
  { state: 'ran', words: 'ran, as the receiver told' },
  { state: 'silent', words: 'its time has passed, nobody said that it ran' },
  { state: 'missed', words: 'missed, not made up for' },
  { state: 'withdrawn', words: 'withdrawn by a hold' },
  { state: 'rejected', words: 'rejected by the receiver' },
];

/** A mark of eleven by eleven around a point: each state has a shape of its own, in one ink. */
export function StateMark({ state, x, y }: { state: RunState; x: number; y: number }) {
  return (
    <g class={`mark ${state}`} transform={`translate(${x} ${y})`}>
      {shape(state)}
    </g>
  );
}

function shape(state: RunState) {
  switch (state) {
    case 'planned':
      return <circle class="open" r="5" />;
    case 'sent':
      return <path class="open" d="M-4.5-5.5 5.5 0-4.5 5.5z" />;
    case 'accepted':
      return <path class="full" d="M-4.5-5.5 5.5 0-4.5 5.5z" />;
    case 'running':
      return (
        <>
          <circle class="open" r="6.500" />
          <circle class="full" r="3" />
        </>
      );
    case 'ran':
      return <circle class="full" r="5.500" />;
    case 'silent':
      return (
        <>
          <circle class="open" r="6.500" />
          <path
            class="line"
            d="M-1.800-1.800a1.900 1.900 0 1 1 2.600 1.800q-.8.4-.8 1.400M0 3.400v.6"
          />
        </>
      );
    case 'missed':
      return <path class="line" d="M-5-5 5 5M-5 5 5-5" />;
    case 'withdrawn':
      return (
        <>
          <circle class="open" r="5" />
          <path class="line" d="M-7.500 0h15" />
        </>
      );
    case 'rejected':
      return (
        <>
          <path class="open" d="M-6-6H6V6H-6z" />
          <path class="line" d="M0-3.500v4M0 3v.6" />
        </>
      );
  }
}

/** The marks with their words. */
export function StateLegend({ states }: { states: ReadonlySet<RunState> }) {
  return (
    <ul class="legend">
      {STATE_WORDS.filter(({ state }) => states.has(state)).map(({ state, words }) => (
        <li key={state}>
          <svg width="22" height="22" aria-hidden="true">
            <StateMark state={state} x={11} y={11} />
          </svg>
          {words}
        </li>
      ))}
    </ul>
  );
}
