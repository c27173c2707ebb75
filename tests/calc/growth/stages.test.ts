import { expect, test } from 'vitest';
import { nextStage, previousStage, STAGE_NAMES, STAGES } from '../../../calc/growth/stages.ts';
import { GROW_IN_STAGES } from '../../tables/grow-in-stages.ts';

/** The middle of a span, to a tenth of it: a stage stands for what it is in its midst. */
function expectMidway(value: number, [least, most]: readonly [number, number]) {
  expect(Math.abs(value - (least + most) / 2)).toBeLessThanOrEqual(0.1 * (most - least) + 1e-9);
}

const inOrder = STAGE_NAMES.map((name) => STAGES[name]);

test('every stage is there under its own name, with signs to move on', () => {
  expect(Object.keys(STAGES)).toEqual([...STAGE_NAMES]);
  for (const name of STAGE_NAMES) {
    expect(STAGES[name].name).toBe(name);
    expect(STAGES[name].movesOn.length).toBeGreaterThan(0);
  }
});

test.each(STAGE_NAMES)('%s is watered as the trade does it', (name) => {
  const { coverFraction, ...spans } = GROW_IN_STAGES[name];
  const stage = STAGES[name];
  expect(stage).toMatchObject(spans);
  expectMidway(stage.coverFraction, coverFraction);
  // The seed layer is the top 8 mm, that of the dry limit; at last no deeper than roots reach.
  if (name === 'germination') expect(stage.managedDepthMm).toBe(8);
  else if (name === 'knitting') expect(stage.managedDepthMm).toBe(100);
  else expectMidway(stage.managedDepthMm, stage.depthMm);
  // Seed and seedlings are washed by more than 2 mm; later a cycle may be the largest of its span.
  const mayWash = name === 'germination' || name === 'emergence';
  expect(stage.doseCapMm).toBe(mayWash ? 2 : stage.doseMm[1]);
});

test('only the mown bed is given a light one at midday, only the last is watered by its loss', () => {
  const having = (holds: (stage: (typeof inOrder)[number]) => boolean) =>
    inOrder.filter(holds).map((stage) => stage.name);
  expect(having((stage) => stage.middaySyringe)).toEqual(['first_mow']);
  expect(having((stage) => stage.percentOfLoss !== null)).toEqual(['knitting']);
  expect(STAGES.knitting.percentOfLoss).toEqual([75, 100]);
  expect(having((stage) => stage.beforeEmergence)).toEqual(['germination']);
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
