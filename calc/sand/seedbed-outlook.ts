import { bareSeedbed, type SeedbedDynamics } from './seedbed-dynamics.ts';
import type { SeedbedModel, SeedbedState } from './seedbed-model.ts';

/** A stretch of weather ahead with a steady demand and, when given, water at a steady rate. */
export interface DemandSpell {
  hours: number;
  demandMmPerH: number;
  waterMmPerH?: number;
}

/** When the bed will be dry, and what will have evaporated by then. */
export interface DryOutlook {
  hours: number;
  evaporatedMm: number;
}

const LOOK_H = 1 / 12;

/**
 * Time until the bed reaches its dry limit, or null when it does not within the series.
 *
 * Looks every five minutes and interpolates between two looks. A bed under water at the moment is
 * not called dry.
 *
 * @param series demand in mm/h, not below 0, in the order of time
 * @param dynamics a bed with roots; left out: only the surface counts
 * @example a bed that is dry at the first demand answers 0 hours
 */
export function hoursToDry(
  model: SeedbedModel,
  state: SeedbedState,
  series: Iterable<DemandSpell>,
  dynamics: SeedbedDynamics = bareSeedbed(model),
): DryOutlook | null {
  let now = state;
  let hours = 0;
  let evaporatedMm = 0;
  let beforeMm: number | null = null;
  for (const spell of series) {
    const waterMmPerH = spell.waterMmPerH ?? 0;
    const looks = Math.max(1, Math.ceil(spell.hours / LOOK_H - 1e-9));
    const lookH = spell.hours / looks;
    if (beforeMm === null && waterMmPerH === 0 && spell.demandMmPerH > 0) {
      beforeMm = dynamics.marginMm(now, spell.demandMmPerH);
      if (beforeMm <= 0) return { hours, evaporatedMm };
    }
    for (let look = 0; look < looks; look++) {
      const step = dynamics.step(now, {
        waterMm: waterMmPerH * lookH,
        demandMm: spell.demandMmPerH * lookH,
        hours: lookH,
      });
      now = step.state;
      if (waterMmPerH === 0 && spell.demandMmPerH > 0) {
        const afterMm = dynamics.marginMm(now, spell.demandMmPerH);
        if (afterMm <= 0) {
          const part = beforeMm !== null && beforeMm > 0 ? beforeMm / (beforeMm - afterMm) : 1;
          return {
            hours: hours + part * lookH,
            evaporatedMm: evaporatedMm + part * step.evaporatedMm,
          };
        }
        beforeMm = afterMm;
      } else beforeMm = null;
      hours += lookH;
      evaporatedMm += step.evaporatedMm;
    }
  }
  return null;
}

/**
 * The one number for people: mm that can still evaporate at this demand before the bed is dry, 0 at
 * the dry limit. From the full state it is the bed's capacity at that demand. Counts what rises from
 * below and not what falls away. At most what evaporates in `mostHours` (default 48).
 */
export function storeMm(
  model: SeedbedModel,
  state: SeedbedState,
  asked: { demandMmPerH: number; mostHours?: number; dynamics?: SeedbedDynamics },
): number {
  const { demandMmPerH, mostHours = 48, dynamics } = asked;
  if (!(demandMmPerH > 0)) {
    throw new RangeError(
      `storeMm: demand must be above 0 (got ${demandMmPerH}); ask at the demand of the hour that matters`,
    );
  }
  const outlook = hoursToDry(model, state, [{ hours: mostHours, demandMmPerH }], dynamics);
  return outlook === null ? demandMmPerH * mostHours : outlook.evaporatedMm;
}
