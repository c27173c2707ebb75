import { expect, test } from 'vitest';
import { nextStage, previousStage, STAGE_NAMES, STAGES } from '../../../calc/growth/stages.ts';

const inOrder = STAGE_NAMES.map((name) => STAGES[name]);

test('every stage is there under its own name, with signs to move on', () => {
  expect(Object.keys(STAGES)).toEqual([...STAGE_NAMES]);
  for (const name of STAGE_NAMES) {
    expect(STAGES[name].name).toBe(name);
    expect(STAGES[name].movesOn.length).toBeGreaterThan(0);
  }
});

test('cycles become fewer while doses and depths grow', () => {
  for (let index = 1; index < inOrder.length; index += 1) {
    const [before, after] = [inOrder[index - 1], inOrder[index]];
    if (before === undefined || after === undefined) throw new Error('a stage is missing');
    expect(after.cyclesPerDay[1]).toBeLessThan(before.cyclesPerDay[1]);
    expect(after.doseMm[1]).toBeGreaterThan(before.doseMm[1]);
    expect(after.managedDepthMm).toBeGreaterThan(before.managedDepthMm);
    expect(after.coverFraction).toBeGreaterThan(before.coverFraction);
  }
});

test.each(inOrder)('$name is consistent with itself', (stage) => {
  for (const [least, most] of [stage.cyclesPerDay, stage.doseMm, stage.depthMm]) {
    expect(least).toBeLessThan(most);
  }
  expect(stage.doseCapMm).toBeGreaterThanOrEqual(stage.doseMm[1]);
  expect(stage.managedDepthMm).toBeGreaterThanOrEqual(stage.depthMm[0]);
  expect(stage.managedDepthMm).toBeLessThanOrEqual(stage.depthMm[1]);
});

test('a bare seedbed is capped at 2 mm a cycle and loses 1.1 times reference ET (FAO-56, p. 144)', () => {
  expect(STAGES.germination).toMatchObject({
    doseCapMm: 2,
    coverFraction: 0,
    wetSoilCoefficient: 1.1,
    beforeEmergence: true,
  });
});

test('steps lead forward and back and end at the ends', () => {
  expect(nextStage('germination')).toBe('emergence');
  expect(nextStage('knitting')).toBeNull();
  expect(previousStage('germination')).toBeNull();
  for (const name of STAGE_NAMES) {
    const next = nextStage(name);
    if (next !== null) expect(previousStage(next)).toBe(name);
  }
});
