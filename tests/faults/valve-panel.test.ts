import { expect, it } from 'vitest';
import { FLIGHT_MS, type RunMessage, valvePanel } from './valve-panel.ts';

const START_MS = Date.parse('2026-07-01T10:00:00Z');

function message(station: string, startMs: number, seconds = 6): RunMessage {
  const at = (ms: number) => new Date(ms).toISOString();
  return {
    order_id: 'o',
    run_id: `${station}@${at(startMs)}`,
    station,
    seconds,
    start: at(startMs),
    ends: at(startMs + seconds * 1000),
    expires: at(startMs + 4000),
  };
}

/** What the panel finds wrong with messages that come at instants after the start. */
function wrongWith(messages: readonly (readonly [RunMessage, number])[]): string[] {
  const broken: string[] = [];
  const panel = valvePanel({ toleranceMs: 4000, mostAtOnce: 2 }, (what) => broken.push(what));
  for (const [one, afterMs] of messages) panel.hear(one, START_MS + afterMs);
  return broken;
}

it.each<[string, readonly (readonly [RunMessage, number])[], RegExp | null]>([
  ['a run on time', [[message('s1', START_MS), 20]], null],
  [
    'two at once',
    [
      [message('s1', START_MS), 20],
      [message('s2', START_MS), 20],
    ],
    null,
  ],
  [
    'a run twice',
    [
      [message('s1', START_MS), 0],
      [message('s1', START_MS), 2000],
    ],
    /came twice/,
  ],
  ['a run too early', [[message('s1', START_MS), -900]], /early/],
  ['a run too late', [[message('s1', START_MS, 60), 4001 + FLIGHT_MS]], /late/],
  ['a late run at full length', [[message('s1', START_MS), 3000]], /end by itself/],
  [
    'one more than allowed',
    [
      [message('s1', START_MS), 0],
      [message('s2', START_MS), 0],
      [message('s3', START_MS), 0],
    ],
    /3 stations would be on, 2 may/,
  ],
])('%s', (_, messages, wanted) => {
  const found = wrongWith(messages);
  if (wanted === null) expect(found).toEqual([]);
  else expect(found.join('\n')).toMatch(wanted);
});

it('shuts a station at its end, and every station when told', () => {
  const panel = valvePanel({ toleranceMs: 4000, mostAtOnce: 2 }, () => undefined);
  panel.hear(message('s1', START_MS), START_MS);
  panel.hear(message('s2', START_MS, 60), START_MS);
  expect(panel.on(START_MS + 5900)).toHaveLength(2);
  expect(panel.on(START_MS + 6001).map(({ station }) => station)).toEqual(['s2']);
  panel.hear({ ...message('*', START_MS, 0), run_id: null, expires: null }, START_MS + 7000);
  expect(panel.on(START_MS + 7000)).toEqual([]);
});
