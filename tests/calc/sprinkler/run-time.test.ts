import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type HeadOnClock, headRuns } from '../../../calc/sprinkler/run-time.ts';

const heads = {
  precipitationRateMmPerH: 18,
  driftLossFraction: 0,
  rotationS: 150,
  leastRunS: 60,
  runStepS: 1,
};

const runForDepth = ({ netMm, ...head }: HeadOnClock & { netMm: number }) =>
  headRuns(head).forDepth(netMm);

test('the most whole rotations within the depth', () => {
  expect(runForDepth({ ...heads, netMm: 1 })).toEqual({
    rotations: 1,
    runS: 150,
    grossMm: 0.75,
    netMm: 0.75,
  });
  expect(runForDepth({ ...heads, netMm: 2.3 }).rotations).toBe(3);
});

test('a depth of exactly three rotations gives three, not two', () => {
  const driftLossFraction = 0.161;
  const netMm = ((3 * 150 * 18) / 3600) * (1 - driftLossFraction);
  expect(runForDepth({ ...heads, driftLossFraction, netMm }).rotations).toBe(3);
});

test('never less than one rotation, and the shortest run is reached by adding rotations', () => {
  expect(runForDepth({ ...heads, netMm: 0.1 }).rotations).toBe(1);
  expect(runForDepth({ ...heads, netMm: 0.1, leastRunS: 301 })).toMatchObject({
    rotations: 3,
    runS: 450,
  });
});

test("the run is rounded up to the clock's step and the depth is that of the whole run", () => {
  const run = runForDepth({ ...heads, netMm: 0.8, runStepS: 60 });
  expect(run).toMatchObject({ rotations: 1, runS: 180, grossMm: 0.9 });
  // Three turns are 450 s, rounded up 480 s = 2.4 mm: above 2.3 mm, so two turns.
  expect(runForDepth({ ...heads, netMm: 2.3, runStepS: 60 }).rotations).toBe(2);
});

test('whole rotations, whole steps, within the depth unless a least forces it', () => {
  const asked = fc.record({
    netMm: fc.double({ min: 0, max: 6, noNaN: true }),
    precipitationRateMmPerH: fc.double({ min: 4, max: 60, noNaN: true }),
    driftLossFraction: fc.double({ min: 0, max: 0.5, noNaN: true }),
    rotationS: fc.integer({ min: 60, max: 300 }),
    leastRunS: fc.integer({ min: 0, max: 240 }),
    runStepS: fc.constantFrom(1, 5, 6, 30, 60),
  });
  fc.assert(
    fc.property(asked, (depth) => {
      const run = runForDepth(depth);
      expect(Number.isInteger(run.rotations)).toBe(true);
      expect(run.rotations).toBeGreaterThanOrEqual(1);
      expect(run.runS % depth.runStepS).toBe(0);
      expect(run.runS).toBeGreaterThanOrEqual(run.rotations * depth.rotationS);
      expect(run.runS - run.rotations * depth.rotationS).toBeLessThan(depth.runStepS);
      expect(run.runS).toBeGreaterThanOrEqual(depth.leastRunS);
      expect(run.netMm).toBeCloseTo(run.grossMm * (1 - depth.driftLossFraction), 10);
      const forced = Math.max(1, Math.ceil(depth.leastRunS / depth.rotationS));
      if (run.rotations > forced) expect(run.netMm).toBeLessThanOrEqual(depth.netMm + 1e-7);
      const oneMoreS = Math.ceil(((run.rotations + 1) * depth.rotationS) / depth.runStepS);
      const oneMoreMm = (run.netMm / run.runS) * oneMoreS * depth.runStepS;
      expect(oneMoreMm).toBeGreaterThan(depth.netMm - 1e-7);
    }),
    { seed: 14, numRuns: 300 },
  );
});

test('never longer than the longest run, but one rotation is whole', () => {
  // 10 mm at 18 mm/h are 2000 s; 1000 s hold six turns of 150 s.
  expect(runForDepth({ ...heads, netMm: 10, mostRunS: 1000 })).toMatchObject({
    rotations: 6,
    runS: 900,
  });
  // Six turns rounded up to the step would be 960 s.
  expect(runForDepth({ ...heads, netMm: 10, mostRunS: 900, runStepS: 60 }).runS).toBe(900);
  expect(runForDepth({ ...heads, netMm: 10, mostRunS: 950, runStepS: 120 }).runS).toBe(840);
  expect(runForDepth({ ...heads, netMm: 10, mostRunS: 100 })).toMatchObject({ rotations: 1 });
  expect(() => runForDepth({ ...heads, netMm: 1, mostRunS: 0 })).toThrow(/mostRunS/);
});

test('refuses what no head can do', () => {
  expect(() => runForDepth({ ...heads, netMm: 1, driftLossFraction: 1 })).toThrow(
    /headRuns\.driftLossFraction: .*got 1/,
  );
  expect(() => runForDepth({ ...heads, netMm: -1 })).toThrow(RangeError);
  expect(() => runForDepth({ ...heads, netMm: 1, rotationS: 0 })).toThrow(RangeError);
});
