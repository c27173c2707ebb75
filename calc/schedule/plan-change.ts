import type { BedPlan, DayPlan } from './day-plan.ts';

/** What differs for one bed between two plans. */
interface BedChange {
  bedId: string;
  name: string;
  cyclesBefore: number;
  cyclesAfter: number;
  netMmBefore: number;
  netMmAfter: number;
  /** Cycles that start at another time or are new. */
  moved: number;
}

/**
 * What changed from one plan to another, bed by bed, counting only what is still to come.
 *
 * @param fromMs Cycles that start before this are history and no change.
 * @returns Only beds that change; an empty list when the plans ask the same of the field.
 */
export function planChange(before: DayPlan, after: DayPlan, fromMs: number): BedChange[] {
  const bedsBefore = new Map(before.beds.map((bed) => [bed.bedId, bed]));
  const bedsAfter = new Map(after.beds.map((bed) => [bed.bedId, bed]));
  const ids = [...new Set([...bedsAfter.keys(), ...bedsBefore.keys()])];
  return ids.flatMap((bedId) => {
    const was = toCome(bedsBefore.get(bedId), fromMs);
    const is = toCome(bedsAfter.get(bedId), fromMs);
    const startsBefore = new Set(was.map((cycle) => `${cycle.startMs} ${cycle.netMm.toFixed(3)}`));
    const moved = is.filter(
      (cycle) => !startsBefore.has(`${cycle.startMs} ${cycle.netMm.toFixed(3)}`),
    ).length;
    if (moved === 0 && was.length === is.length) return [];
    return [
      {
        bedId,
        name: (bedsAfter.get(bedId) ?? bedsBefore.get(bedId))?.name ?? bedId,
        cyclesBefore: was.length,
        cyclesAfter: is.length,
        netMmBefore: was.reduce((sum, cycle) => sum + cycle.netMm, 0),
        netMmAfter: is.reduce((sum, cycle) => sum + cycle.netMm, 0),
        moved,
      },
    ];
  });
}

function toCome(bed: BedPlan | undefined, fromMs: number) {
  return (bed?.cycles ?? []).filter((cycle) => cycle.startMs >= fromMs);
}

/** How far the time at which a bed gets dry lies from where an earlier plan had it. */
export interface DryMove {
  bedId: string;
  name: string;
  /** When it gets dry without any more water, by the earlier plan and by the later one. */
  beforeMs: number;
  afterMs: number;
  /** Below 0: earlier than was thought. */
  moveMin: number;
  /** Water above the dry limit at the later plan's start, by either plan. */
  storeBeforeMm: number;
  storeAfterMm: number;
}

const MIN_MS = 60_000;

/** Water that a bed got, as the mean over it. */
export interface GivenWater {
  bedId: string;
  startMs: number;
  netMm: number;
}

/**
 * When a bed gets dry from an instant on if nothing more is watered, as an earlier plan expects it:
 * its store at that instant, emptied by the losses that the plan's curve shows. Where the curve
 * shows a cycle, the loss of the step before stands in.
 *
 * Valid while the instant lies on the plan's curve.
 *
 * @param bed An earlier plan's bed.
 * @param fromMs Epoch ms; before the curve's begin it counts as its begin.
 * @param given Water that the bed was to get since the curve's begin; where it is what the plan has,
 *   the curve itself is taken.
 * @returns The instant and the store at `fromMs` in mm; the curve's end where it stays moist so
 *   long; null where the curve does not reach `fromMs`.
 */
export function expectedDry(
  bed: Pick<BedPlan, 'bedId' | 'cycles' | 'expectedStore' | 'capacityMm'>,
  fromMs: number,
  given: readonly GivenWater[],
): { dryMs: number; storeMm: number } | null {
  const { startMs, stepMin, storeMm } = bed.expectedStore;
  const stepMs = stepMin * MIN_MS;
  const first = Math.max(0, Math.floor((fromMs - startMs) / stepMs));
  const last = storeMm.length - 1;
  if (first >= last) return null;
  const lossMm = lossesOf(bed);
  const atStepMm = asPlanned(bed, fromMs, given)
    ? (storeMm[first] ?? 0)
    : carriedMm(bed, first, lossMm, given);
  const partStep = Math.max(0, (fromMs - startMs) / stepMs - first);
  const lately = givenSince(bed, { sinceMs: startMs + first * stepMs, fromMs, given });
  const nowMm = Math.min(
    Math.max(atStepMm, bed.capacityMm),
    atStepMm - partStep * (lossMm[first] ?? 0) + lately,
  );
  if (nowMm <= 0) return { dryMs: Math.max(fromMs, startMs), storeMm: nowMm };
  let leftMm = nowMm;
  for (let step = first; step < last; step++) {
    const beginMs = Math.max(fromMs, startMs + step * stepMs);
    const endMs = startMs + (step + 1) * stepMs;
    const ownMm = ((lossMm[step] ?? 0) * (endMs - beginMs)) / stepMs;
    if (ownMm >= leftMm) {
      return { dryMs: beginMs + (leftMm / ownMm) * (endMs - beginMs), storeMm: nowMm };
    }
    leftMm -= ownMm;
  }
  return { dryMs: startMs + last * stepMs, storeMm: nowMm };
}

/** What has fallen of the water that began within the step of an instant, mm. */
function givenSince(
  { bedId, cycles }: Pick<BedPlan, 'bedId' | 'cycles'>,
  asked: { sinceMs: number; fromMs: number; given: readonly GivenWater[] },
): number {
  const { sinceMs, fromMs, given } = asked;
  return given
    .filter((one) => one.bedId === bedId && one.startMs >= sinceMs && one.startMs < fromMs)
    .reduce((sum, one) => {
      const cycle = cycles.find(
        ({ startMs, endMs }) => one.startMs >= startMs && one.startMs < endMs,
      );
      const lengthMs = cycle === undefined ? 0 : cycle.endMs - cycle.startMs;
      const part = lengthMs > 0 ? Math.min(1, (fromMs - one.startMs) / lengthMs) : 1;
      return sum + one.netMm * part;
    }, 0);
}

/** What the curve loses in each step; less than 0 where rain fills it. */
function lossesOf({ cycles, expectedStore }: Pick<BedPlan, 'cycles' | 'expectedStore'>): number[] {
  const { startMs, stepMin, storeMm } = expectedStore;
  const stepMs = stepMin * MIN_MS;
  const lossMm: number[] = [];
  for (let step = 0; step < storeMm.length - 1; step++) {
    const atMs = startMs + step * stepMs;
    const watered = cycles.some((one) => one.startMs < atMs + stepMs && one.endMs > atMs);
    const ownMm = (storeMm[step] ?? 0) - (storeMm[step + 1] ?? 0);
    lossMm.push(watered ? (lossMm[step - 1] ?? 0) : ownMm);
  }
  return lossMm;
}

/** Whether a bed was to get up to an instant what its plan has for it, start by start. */
function asPlanned(
  bed: Pick<BedPlan, 'bedId' | 'cycles' | 'expectedStore'>,
  untilMs: number,
  given: readonly GivenWater[],
): boolean {
  const { startMs } = bed.expectedStore;
  const within = (ms: number) => ms >= startMs && ms < untilMs;
  const own = bed.cycles.filter((one) => within(one.startMs));
  const got = given.filter((one) => one.bedId === bed.bedId && within(one.startMs));
  return (
    own.every((cycle) =>
      got.some((one) => one.startMs >= cycle.startMs && one.startMs < cycle.endMs),
    ) &&
    got.every((one) =>
      own.some((cycle) => one.startMs >= cycle.startMs && one.startMs < cycle.endMs),
    )
  );
}

/** The store at a step from the curve's begin, with other water than the plan has. */
function carriedMm(
  { bedId, expectedStore, capacityMm }: Pick<BedPlan, 'bedId' | 'expectedStore' | 'capacityMm'>,
  toStep: number,
  lossMm: readonly number[],
  given: readonly GivenWater[],
): number {
  const { startMs, stepMin, storeMm } = expectedStore;
  const stepMs = stepMin * MIN_MS;
  let leftMm = storeMm[0] ?? 0;
  for (let step = 0; step < toStep; step++) {
    const atMs = startMs + step * stepMs;
    const gotMm = given
      .filter((one) => one.bedId === bedId && one.startMs >= atMs && one.startMs < atMs + stepMs)
      .reduce((sum, one) => sum + one.netMm, 0);
    leftMm = Math.min(capacityMm, leftMm - (lossMm[step] ?? 0) + gotMm);
  }
  return leftMm;
}

/**
 * How the time to dry of each bed differs between an earlier plan and a later one of the same day,
 * both taken from the later plan's start on and without any more water. What lies beyond the earlier
 * plan's curve counts as its end, so a night more or less moves nothing. A bed that drinks at that
 * instant is left out: within a cycle the steps of two plans do not tell the same water.
 *
 * @param given Water that was to run in between; null: what the earlier plan has.
 */
export function dryMoves(
  before: DayPlan,
  after: DayPlan,
  given: readonly GivenWater[] | null,
): DryMove[] {
  return after.beds.flatMap((bed) => {
    const former = before.beds.find((one) => one.bedId === bed.bedId);
    if (former === undefined) return [];
    const water = given ?? waterOf(former);
    if (drinksAt(former, after.startMs, water)) return [];
    const expected = expectedDry(former, after.startMs, water);
    if (expected === null) return [];
    const { startMs, stepMin, storeMm } = former.expectedStore;
    const endMs = startMs + (storeMm.length - 1) * stepMin * MIN_MS;
    const afterMs = Math.min(Math.max(bed.dryAtMs ?? endMs, after.startMs), endMs);
    const beforeMs = Math.min(expected.dryMs, endMs);
    return [
      {
        bedId: bed.bedId,
        name: bed.name,
        beforeMs,
        afterMs,
        moveMin: (afterMs - beforeMs) / MIN_MS,
        storeBeforeMm: expected.storeMm,
        storeAfterMm: bed.storeNowMm,
      },
    ];
  });
}

function waterOf({ bedId, cycles }: BedPlan): GivenWater[] {
  return cycles.map(({ startMs, netMm }) => ({ bedId, startMs, netMm }));
}

/** Whether a bed's water runs at an instant, or did within the steps around it. */
function drinksAt(
  { bedId, cycles, expectedStore }: BedPlan,
  atMs: number,
  given: readonly GivenWater[],
): boolean {
  const stepMs = expectedStore.stepMin * MIN_MS;
  return (
    cycles.some((one) => one.startMs < atMs + stepMs && one.endMs > atMs - stepMs) ||
    given.some(
      (one) =>
        one.bedId === bedId && one.startMs < atMs + stepMs && one.startMs > atMs - 3 * stepMs,
    )
  );
}
