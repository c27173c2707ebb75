import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import type { Db } from '../../../daemon/site/store/database.ts';

const MIN_MS = 60_000;

/** A cycle as a row of the store has it; nothing of how the program reads it is used here. */
interface RowCycle {
  bedId: string;
  startMs: number;
  endMs: number;
  runs: Omit<Run, 'cycle'>[];
}

/** A use of a leeway as its row has it. */
export interface RowUse {
  planId: number;
  number: number;
  atMs: number;
  cycles: RowCycle[];
}

/** The rows of uses after a number of rows, in order. */
export function usesAfter(db: Db, afterRow: number): (RowUse & { row: number })[] {
  const rows = db
    .prepare(
      `SELECT u.leeway_use_id AS row, c.plan_id AS planId, u.number, u.at_ms AS atMs, u.cycles
       FROM leeway_use u JOIN confirmation c USING (confirmation_id)
       WHERE u.leeway_use_id > ? ORDER BY u.leeway_use_id`,
    )
    .all(afterRow) as {
    row: number;
    planId: number;
    number: number;
    atMs: number;
    cycles: string;
  }[];
  return rows.map((one) => ({ ...one, cycles: JSON.parse(one.cycles) as RowCycle[] }));
}

/** The runs of a use. */
export function runsOfUse({ cycles }: Pick<RowUse, 'cycles'>): Omit<Run, 'cycle'>[] {
  return cycles.flatMap(({ runs }) => runs);
}

/**
 * What of a use is more than a person let the daemon do, by arithmetic of the account's own: as many
 * cycles as can be are matched with those of the plan, the rest are spares.
 *
 * @param confirmed What the person confirmed: the plan, when, and on which beds with its leeway.
 */
export function moreThanLet(
  use: RowUse,
  confirmed: { plan: DayPlan; nowMs: number; leewayBedIds: readonly string[] | null },
): string[] {
  const { plan, nowMs, leewayBedIds } = confirmed;
  if (leewayBedIds === null) return ['the plan was confirmed as laid'];
  const stationOf = new Map(plan.madeFor?.stations.map((one) => [one.stationId, one]));
  return plan.beds.flatMap(({ bedId, cycles }): string[] => {
    const laid = cycles
      .map(({ cycle }) => plan.runs.filter((run) => run.bedId === bedId && run.cycle === cycle))
      .filter((runs) => runs.length > 0 && runs.every(({ startMs }) => startMs >= nowMs));
    const own = use.cycles.filter((cycle) => cycle.bedId === bedId);
    const texts = (runs: readonly Omit<Run, 'cycle'>[]) =>
      runs.map((run) => `${run.stationId} ${run.startMs} ${run.runS}`);
    if (!leewayBedIds.includes(bedId)) {
      const [is, was] = [texts(own.flatMap(({ runs }) => runs)), texts(laid.flat())];
      return is.sort().join() === was.sort().join() ? [] : [`${bedId} is out of it, and changed`];
    }
    const bed = plan.leeway?.beds.find((one) => one.bedId === bedId);
    if (bed === undefined) return own.length === 0 ? [] : [`${bedId} has no leeway`];
    const broken: string[] = [];
    const startOf = (runs: readonly { startMs: number }[]) =>
      Math.min(...runs.map(({ startMs }) => startMs));
    const near = (cycle: RowCycle, runs: readonly Run[]) =>
      Math.abs(startOf(cycle.runs) - startOf(runs)) <= bed.moveMin * MIN_MS + 2 * MIN_MS;
    const matched = mostMatched(
      own.map((cycle) => laid.flatMap((runs, at) => (near(cycle, runs) ? [at] : []))),
      laid.length,
    );
    if (own.length - matched > bed.spareCycles) {
      broken.push(`${bedId}: ${own.length - matched} spares of ${bed.spareCycles}`);
    }
    if (laid.length - matched > bed.leaveOutCycles) {
      broken.push(`${bedId}: ${laid.length - matched} left out of ${bed.leaveOutCycles}`);
    }
    let litres = 0;
    for (const run of own.flatMap(({ runs }) => runs)) {
      const station = stationOf.get(run.stationId);
      if (station?.bedId !== bedId) broken.push(`${bedId}: ${run.stationId} is not its own`);
      const { rotationS = 0, flowLPerMin = 0 } = station ?? {};
      if (run.rotations > bed.mostRotations || run.runS > run.rotations * rotationS + 1) {
        broken.push(`${bedId}: a run of ${run.runS} s`);
      }
      litres += (run.runS * flowLPerMin) / 60;
    }
    if (litres > bed.mostL + 1e-6) broken.push(`${bedId}: ${litres} L of ${bed.mostL}`);
    return broken;
  });
}

/** Most pairs of a graph in two parts, by augmenting paths. */
function mostMatched(edges: readonly (readonly number[])[], rights: number): number {
  const ofRight = new Array<number>(rights).fill(-1);
  const reach = (left: number, seen: Set<number>): boolean =>
    (edges[left] ?? []).some((right) => {
      if (seen.has(right)) return false;
      seen.add(right);
      const other = ofRight[right] ?? -1;
      if (other !== -1 && !reach(other, seen)) return false;
      ofRight[right] = left;
      return true;
    });
  return edges.filter((_, left) => reach(left, new Set())).length;
}
