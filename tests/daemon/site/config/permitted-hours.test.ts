import { describe, expect, it } from 'vitest';
import { hoursNotPermitted } from '../../../../daemon/site/config/keep-offs.ts';

const told = (permitted: { from: string; to: string }[]) =>
  hoursNotPermitted(permitted, ['g1']).map(({ from, to }) =>
    [from, to].map((bound) => `${bound.hour}:${bound.minute}`).join('-'),
  );

describe('the hours in which water is not permitted', () => {
  it('are none when none are named', () => {
    expect(told([])).toEqual([]);
  });

  it('span midnight when the permit is for the day', () => {
    expect(told([{ from: '05:00', to: '10:30' }])).toEqual(['10:30-5:0']);
  });

  it('are the day when the permit spans midnight', () => {
    expect(told([{ from: '22:00', to: '06:00' }])).toEqual(['6:0-22:0']);
  });

  it('lie between permits, which may touch and overlap', () => {
    expect(
      told([
        { from: '05:00', to: '08:00' },
        { from: '07:30', to: '10:00' },
        { from: '17:00', to: '19:00' },
      ]),
    ).toEqual(['10:0-17:0', '19:0-5:0']);
  });
});
