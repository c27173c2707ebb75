import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { modelRows } from '../../../calc/sand/model-rows.ts';
import { modelStore } from '../../../calc/sand/model-store.ts';
import { membersOfClass } from '../../../calc/sand/sand-class-models.ts';
import { partOfState, stateOfRow, writeRow } from '../../../calc/sand/seedbed-store.ts';

const MODELS = ['coarse_open', 'medium_open', 'fine_over_gravel'].flatMap((name) =>
  membersOfClass(name).map(({ model }) => model),
);
const filled = fc.double({ min: 0.02, max: 1, noNaN: true });

/** A sand, roots or none, a state, and what a spell brings. */
const cases = fc.record({
  model: fc.constantFrom(...MODELS),
  rootsMm: fc.constantFrom(0, 12, 40, 150),
  // Where the surface is dry, roots draw.
  parts: fc.tuple(fc.oneof(filled, fc.constantFrom(0.02, 0.05)), filled, filled),
  waterMm: fc.constantFrom(0, 0, 0.3, 1.5),
  demandMm: fc.double({ min: -0.01, max: 0.1, noNaN: true }),
});

describe('a sand’s model on rows', () => {
  it('goes the way of the exact store, bare and with roots, and loses no water', () => {
    fc.assert(
      fc.property(cases, ({ model, rootsMm, parts, waterMm, demandMm }) => {
        const store = modelStore(model, rootsMm);
        const rows = modelRows(model, rootsMm);
        const state = {
          seedMm: parts[0] * model.seed.poreMm,
          belowMm: parts[1] * model.below.poreMm,
          rootMm: parts[2] * model.root.poreMm,
        };
        const row = new Float64Array(6);
        writeRow(row, 0, rows, state);
        const spell = { waterMm, demandMm, hours: 1 / 12 };
        const exact = store.step(state, spell);
        const drainedMm = rows.step(row, { from: 0, to: 3 }, spell);
        const after = stateOfRow(row, 3, rows);
        // Straight lines between the steps of a table: a part in a thousand of what the step moves.
        const movedMm = Math.max(
          ...rows.names.map((name) =>
            Math.abs(partOfState(exact.state, name) - partOfState(state, name)),
          ),
        );
        const near = 2e-5 + 1e-3 * (movedMm + exact.drainedMm);
        for (const name of rows.names) {
          const off = Math.abs(partOfState(after, name) - partOfState(exact.state, name));
          expect(off, name).toBeLessThan(near);
        }
        expect(Math.abs(drainedMm - exact.drainedMm)).toBeLessThan(near);
        const marginMm = store.marginMm(exact.state, 0.4);
        expect(Math.abs(rows.marginMm(row, 3, 0.4) - marginMm)).toBeLessThan(3 * near);
        expect(Math.abs(rows.roomMm(row, 3) - store.roomMm(exact.state))).toBeLessThan(3 * near);
        // The state that was read is untouched where another is written.
        expect(stateOfRow(row, 0, rows)).toEqual(state);
      }),
      { numRuns: 600 },
    );
  });

  it('draws by roots what the surface no longer gives, to their limit and no further', () => {
    const [model] = MODELS;
    if (model === undefined) throw new Error('no sands');
    // Deep enough to reach into the root zone.
    const rows = modelRows(model, 150);
    const row = new Float64Array(3);
    writeRow(row, 0, rows, { ...model.drained, seedMm: 0.02 });
    const hadMm = row.reduce((sum, mm) => sum + mm, 0);
    const spell = { waterMm: 0, demandMm: 0.05, hours: 1 / 12 };
    const drainedMm = rows.step(row, { from: 0, to: 0 }, spell);
    // The whole demand is met, the surface being dry.
    expect(hadMm - row.reduce((sum, mm) => sum + mm, 0) - drainedMm).toBeCloseTo(0.05, 6);
    for (let step = 0; step < 2000; step++) rows.step(row, { from: 0, to: 0 }, spell);
    expect(rows.marginMm(row, 0, 0.5)).toBeLessThanOrEqual(0);
    const atEndMm = row.reduce((sum, mm) => sum + mm, 0);
    const lastMm = rows.step(row, { from: 0, to: 0 }, spell);
    expect(atEndMm - row.reduce((sum, mm) => sum + mm, 0) - lastMm).toBeLessThan(0.01);
  });
});
