import { describe, expect, test } from 'vitest';
import { evenGrid, gridFromDepths, growingGrid } from '../../../calc/sand/column-grid.ts';

describe('the nodes of a column', () => {
  test('speak for the sand half-way to their neighbours', () => {
    const { depthMm, spacingMm, widthMm } = gridFromDepths([0, 2, 6, 16]);
    expect([...depthMm]).toEqual([0, 2, 6, 16]);
    expect([...spacingMm]).toEqual([2, 4, 10]);
    expect([...widthMm]).toEqual([1, 3, 7, 5]);
  });

  test('begin at the surface, go down, and are three at least', () => {
    expect(() => gridFromDepths([0, 1])).toThrow('at least three depths beginning at 0');
    expect(() => gridFromDepths([1, 2, 3])).toThrow('at least three depths beginning at 0');
    expect(() => gridFromDepths([0, 2, 2])).toThrow('after node 1');
    expect(() => gridFromDepths([0, 2, 1])).toThrow('got a step of -1 mm');
    expect(() => gridFromDepths([0, 1, 2])).not.toThrow();
  });

  test('stand at equal distances in an even grid', () => {
    expect([...evenGrid({ depthMm: 100, nodes: 5 }).depthMm]).toEqual([0, 25, 50, 75, 100]);
  });
});

describe('a grid that grows downward', () => {
  test.each([
    [300, 40, 1],
    [100, 11, 5],
    [250, 4, 20],
  ])(
    'fills %d mm with %d nodes from a first step of %d mm, each longer by the same part',
    (depthMm, nodes, firstMm) => {
      const grid = growingGrid({ depthMm, nodes, firstMm });
      expect(grid.depthMm).toHaveLength(nodes);
      expect(grid.depthMm[0]).toBe(0);
      expect(grid.depthMm[nodes - 1]).toBe(depthMm);
      expect(grid.spacingMm[0]).toBeCloseTo(firstMm, 9);
      const ratio = (grid.spacingMm[1] ?? 0) / (grid.spacingMm[0] ?? 1);
      expect(ratio).toBeGreaterThan(1);
      for (let at = 1; at < nodes - 1; at++) {
        expect((grid.spacingMm[at] ?? 0) / (grid.spacingMm[at - 1] ?? 1)).toBeCloseTo(ratio, 6);
      }
      expect(grid.widthMm.reduce((sum, mm) => sum + mm, 0)).toBeCloseTo(depthMm, 9);
    },
  );

  test('has a first step between nothing and an even one', () => {
    const making = (firstMm: number) => () => growingGrid({ depthMm: 100, nodes: 11, firstMm });
    expect(making(9.99)).not.toThrow();
    expect(making(10)).toThrow('between 0 and 10 mm (got 10)');
    expect(making(0)).toThrow(RangeError);
    expect(making(-1)).toThrow(RangeError);
    expect(making(0.01)).not.toThrow();
  });
});
