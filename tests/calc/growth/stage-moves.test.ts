import { describe, expect, it } from 'vitest';
import { bedStanding, type StageMove } from '../../../calc/growth/stage-moves.ts';

const move = (change: Partial<StageMove>): StageMove => ({
  atMs: 1,
  who: 'A. Keeper',
  why: 'seen',
  bedId: 'g1',
  patch: null,
  shareFraction: null,
  stage: 'emergence',
  ...change,
});
const standing = (moves: StageMove[]) =>
  bedStanding({ bedId: 'g1', configStage: 'germination', moves });

describe('bedStanding', () => {
  it('is the config’s stage until a person moves the bed', () => {
    const other = move({ bedId: 'g2', stage: 'knitting' });
    expect(standing([other])).toEqual({
      bedId: 'g1',
      stage: 'germination',
      move: null,
      ruling: 'germination',
      slowPatches: [],
    });
  });

  it('takes the newest move, back as well as on', () => {
    const back = move({ atMs: 3, stage: 'emergence' });
    expect(standing([move({ stage: 'tillering' }), back])).toMatchObject({
      stage: 'emergence',
      ruling: 'emergence',
      move: back,
    });
  });

  it('lets the least advanced patch rule', () => {
    const found = standing([
      move({ stage: 'tillering' }),
      move({ patch: 'north edge', shareFraction: 0.15, stage: 'emergence' }),
      move({ patch: 'crown', shareFraction: 0.05, stage: 'germination' }),
    ]);
    expect(found.stage).toBe('tillering');
    expect(found.ruling).toBe('germination');
    expect(found.slowPatches.map((patch) => patch.name)).toEqual(['crown', 'north edge']);
  });

  it('remembers a patch’s share, and drops the patch when it has caught up', () => {
    const patch = (change: Partial<StageMove>) => move({ patch: 'north edge', ...change });
    const moves = [
      move({ stage: 'tillering' }),
      patch({ shareFraction: 0.15, stage: 'germination' }),
      patch({ stage: 'emergence' }),
    ];
    expect(standing(moves).slowPatches).toMatchObject([
      { name: 'north edge', shareFraction: 0.15, stage: 'emergence' },
    ]);
    expect(standing([...moves, patch({ stage: 'tillering' })])).toMatchObject({
      ruling: 'tillering',
      slowPatches: [],
    });
  });
});
