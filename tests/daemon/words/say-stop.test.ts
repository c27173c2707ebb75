import { describe, expect, it } from 'vitest';
import type { Answer } from '../../../adapters/contract.ts';
import { type StopOutcome, sayStop } from '../../../daemon/words/delivery-words.ts';
import { sayIn } from '../../../daemon/words/language.ts';

const at = (output: string, kind: Answer['kind'], detail: string) => ({
  output,
  answer: { kind, detail },
});
const taken = at('file', 'accepted', 'written to out');
const away = at('radio', 'unknown', 'broker away');
const refused = at('panel', 'rejected', 'no right');

const said = (change: Partial<StopOutcome>) =>
  sayStop(
    { beds: 'all', stoppedAt: [taken], unwritten: null, keeper: 'daemon', ...change },
    sayIn('en'),
  );

describe('sayStop', () => {
  it('says that it is well only where every output took it and the store has it', () => {
    expect(said({})).toEqual({
      isWell: true,
      isStopped: true,
      line: 'Water stopped: everything.',
      outputs: ['file: stopped, written to out'],
    });
    expect(said({ beds: ['bed-1', 'bed-2'] }).line).toBe('Water stopped: bed-1, bed-2.');
  });

  it('names every output that did not take it, and what to do by hand', () => {
    expect(said({ stoppedAt: [away, taken, refused], beds: ['bed-2'] })).toEqual({
      isWell: false,
      isStopped: false,
      line: 'NOT STOPPED at radio, panel: close the valves by hand. Asked to stop: bed-2.',
      outputs: [
        'radio: NOT STOPPED, broker away; close its valves by hand',
        'file: stopped, written to out',
        'panel: NOT STOPPED, no right; close its valves by hand',
      ],
    });
  });

  it('says that nothing is sent anywhere where there is no output', () => {
    expect(said({ stoppedAt: [] })).toEqual({
      isWell: true,
      isStopped: true,
      line: 'Water stopped: everything.',
      outputs: ['No output is configured: nothing is sent anywhere.'],
    });
  });

  it.each<[Partial<StopOutcome>, boolean, string]>([
    [
      { keeper: 'daemon' },
      true,
      'Water stopped: everything. NOT WRITTEN: the store could not be written (got disk full); the water is stopped, but only this daemon remembers it, and goes on trying to write it: mend the store before the daemon is stopped.',
    ],
    [
      { keeper: 'nobody' },
      true,
      'Water stopped: everything. NOT WRITTEN: the store could not be written (got disk full); the water is stopped, but nothing remembers it: mend the store and stop water again before anything is confirmed.',
    ],
    [
      { keeper: 'nobody', stoppedAt: [away] },
      false,
      'NOT STOPPED at radio: close the valves by hand. Asked to stop: everything. NOT WRITTEN: the store could not be written (got disk full); NOT EVERY OUTPUT HAS TAKEN IT, and nothing remembers it: mend the store and stop water again before anything is confirmed.',
    ],
  ])('says of %j that the store does not have it', (change, isStopped, line) => {
    expect(said({ unwritten: 'disk full', ...change })).toMatchObject({
      isWell: false,
      isStopped,
      line,
    });
  });
});
