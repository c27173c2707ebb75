import type { DayPlan } from '../../calc/schedule/day-plan.ts';

/** The bed that is the first to reach its dry limit. */
export interface Driest {
  bedId: string;
  /** When it gets there; a time that has passed means that it is dry now. */
  dryAtMs: number;
}

/**
 * Which bed gets dry first, as far as the plans know: by the expected store of the plan in force,
 * with its cycles; without one, by the newest plan, with no water at all. Null when none does. Pure.
 */
export function driestBed(
  inForce: DayPlan | null,
  newest: DayPlan | null,
  nowMs: number,
): Driest | null {
  const found =
    inForce === null
      ? (newest?.beds ?? []).flatMap(({ bedId, dryAtMs }) =>
          dryAtMs === null ? [] : [{ bedId, dryAtMs }],
        )
      : inForce.beds.flatMap(({ bedId, expectedStore }) => {
          const { startMs, stepMin, storeMm } = expectedStore;
          const stepMs = stepMin * 60_000;
          const from = Math.max(Math.floor((nowMs - startMs) / stepMs), 0);
          const at = storeMm.findIndex((mm, index) => index >= from && mm <= 0);
          return at === -1 ? [] : [{ bedId, dryAtMs: startMs + at * stepMs }];
        });
  return found.toSorted((a, b) => a.dryAtMs - b.dryAtMs)[0] ?? null;
}
