import { describe, expect, it } from 'vitest';
import { riseOffsetS } from '../../../calc/schedule/cycle-block.ts';

const begun = (...stations: [number, number][]) =>
  stations.map(([offsetS, flowLPerMin]) => ({ station: { flowLPerMin }, offsetS }));
const offset = (before: [number, number][], flowLPerMin: number, fromS: number, most = 300) =>
  riseOffsetS(begun(...before), { station: { flowLPerMin }, fromS }, most);

describe('the earliest start of a station under a flow that may rise by 300 L/min a minute', () => {
  it('is at once where nothing has begun within the minute, however large it is', () => {
    expect(offset([], 100, 7)).toBe(7);
    expect(offset([], 900, 7)).toBe(7);
    expect(offset([[0, 300]], 300, 60)).toBe(60);
  });

  it('is at once where both together rise by no more', () => {
    expect(offset([[0, 200]], 100, 10)).toBe(10);
    expect(offset([[0, 200]], 101, 10)).toBe(60);
    expect(offset([[0, 200]], 101, 59)).toBe(60);
  });

  it('waits for as many to be a minute old as have to be', () => {
    const three: [number, number][] = [
      [0, 100],
      [20, 100],
      [40, 100],
    ];
    expect(offset(three, 100, 50)).toBe(60);
    expect(offset(three, 200, 50)).toBe(80);
    expect(offset(three, 300, 50)).toBe(100);
    expect(offset(three, 900, 50)).toBe(100);
  });

  it('is at once where the flow may rise as it likes', () => {
    const next = { station: { flowLPerMin: 900 }, fromS: 5 };
    expect(riseOffsetS(begun([0, 900]), next, null)).toBe(5);
  });
});
