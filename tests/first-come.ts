import { type SmallCase, type SmallCycle, slotsOf } from './optimum-case.ts';

/**
 * The planner that the criteria must refuse: beds in the order of the config, each for its whole day
 * at once, a cycle as soon as one rotation fits, as early as the supply lets it, without a thought
 * of how late would still be safe.
 */
export function firstCome(one: SmallCase): SmallCycle[] {
  const cycles: SmallCycle[] = [];
  const used = new Map<string, number>();
  for (const bed of one.beds) {
    const main = one.limits.mains.find((pipe) => pipe.id === bed.mainId);
    const asks = [
      ['pump', bed.flowLPerMin, one.limits.pumpFlowLPerMin],
      ['stations', bed.stations, one.limits.stationsAtOnce],
      [`main ${bed.mainId}`, bed.flowLPerMin, main?.flowLPerMin ?? Infinity],
    ] as const;
    let levelMm = bed.startMm;
    let freeS = Math.max(one.fromStep, one.firstStartStep) * 300;
    for (let step = one.fromStep; step < one.lastEndStep; step++) {
      const rotations = Math.floor(
        Math.min(bed.capacityMm - levelMm, bed.capMm) / bed.rotationMm + 1e-9,
      );
      const slots = slotsOf(bed, rotations);
      const endS = step * 300 + rotations * bed.rotationS;
      const free =
        rotations >= 1 &&
        step * 300 >= freeS &&
        endS <= one.lastEndStep * 300 &&
        !bed.keepOffs.some(([from, to]) => step < to && endS > from * 300) &&
        Array.from({ length: slots }, (_, slot) =>
          asks.every(
            ([key, amount, allowed]) =>
              (used.get(`${key} ${step + slot}`) ?? 0) + amount <= allowed + 1e-6,
          ),
        ).every(Boolean);
      if (free) {
        cycles.push({ bedId: bed.id, start: step, rotations });
        for (let slot = 0; slot < slots; slot++) {
          for (const [key, amount] of asks) {
            const at = `${key} ${step + slot}`;
            used.set(at, (used.get(at) ?? 0) + amount);
          }
        }
        levelMm += rotations * bed.rotationMm;
        freeS = endS + one.limits.restMin * 60;
      }
      levelMm -= bed.demandMm[step] ?? 0;
    }
  }
  return cycles;
}
