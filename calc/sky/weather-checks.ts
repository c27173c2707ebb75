import type { RawHour } from './weather-hour.ts';

const HOUR_MS = 3_600_000;

/** Values that neighbouring hours are held against each other by. */
export type CheckedField =
  | 'airTempC'
  | 'dewPointC'
  | 'relativeHumidityPct'
  | 'windMPerS'
  | 'solarMjPerM2';

/** A value that a check refused, in the unit of its field, and the limit that it passed. */
export type CheckFinding = LeapFinding | StuckFinding;

interface RefusedValue {
  field: CheckedField;
  startMs: number;
  endMs: number;
  value: number;
}

/** A value that leaps from the hour before. */
export interface LeapFinding extends RefusedValue {
  rule: 'step';
  before: number;
  /** Most that an hour may differ from the one before. */
  atMost: number;
  /** `leap_back`: the next hour leaps back; `nothing`: no later hour bears it out yet. */
  followedBy: 'leap_back' | 'nothing';
}

/** A value that stays the same for too long. */
export interface StuckFinding extends RefusedValue {
  rule: 'stuck';
  hours: number;
  /** Hours of the same value from which on a sensor counts as stuck. */
  atLeast: number;
}

interface FieldChecks {
  /** Most that an hour may differ from the one before; null: no limit. */
  mostStep: number | null;
  /** Hours of the same value from which on a sensor counts as stuck. */
  stuckHours: number;
  /** Values that may stay: saturated air, the night's sun. */
  mayStay(value: number): boolean;
}

// Steps: the temporal consistency limits of NOAA's MADIS quality control (air and dew point 35 °F,
// humidity 50 %, wind 20 kn in an hour), from memory. Sun has none: a cloud is a step. Stuck: WMO-No. 8
// (Guide to Instruments, quality control of automatic stations) asks for a least variation and leaves
// the time to the user; ASCE-EWRI 2005, Appendix D, takes wind below 0.5 m/s all day for a seized
// bearing; both from memory. The hours here are this project's choice: far above what a year of hourly
// observations at a desert station held.
const CHECKS: Record<CheckedField, FieldChecks> = {
  airTempC: { mostStep: 19.4, stuckHours: 12, mayStay: never },
  dewPointC: { mostStep: 19.4, stuckHours: 24, mayStay: never },
  relativeHumidityPct: { mostStep: 50, stuckHours: 24, mayStay: (value) => value >= 97 },
  windMPerS: { mostStep: 10.3, stuckHours: 24, mayStay: never },
  solarMjPerM2: { mostStep: null, stuckHours: 5, mayStay: (value) => value < 0.02 },
};

/**
 * Observed hours without the values that their neighbours make impossible, and what was refused.
 *
 * - `step`: a value that leaps from the hour before by more than its limit and back again, or that
 *   is the newest so that nothing bears it out yet; a leap that stays is a front and is kept;
 * - `stuck`: the same value for more hours than air, wind or sun stay the same.
 *
 * @param hours In order of time; may have gaps: only hours that follow one another are compared.
 * Source: limits as named beside `CHECKS`.
 */
export function checkedHours(hours: readonly RawHour[]): {
  hours: RawHour[];
  findings: CheckFinding[];
} {
  const checked = hours.map((hour) => ({ ...hour }));
  const findings: CheckFinding[] = [];
  for (const field of Object.keys(CHECKS) as CheckedField[]) {
    for (const finding of [...stuck(checked, field), ...steps(checked, field)]) {
      findings.push(finding);
      for (const hour of checked) {
        if (hour.startMs >= finding.startMs && hour.startMs < finding.endMs) hour[field] = null;
      }
    }
  }
  return { hours: checked, findings: findings.toSorted((a, b) => a.startMs - b.startMs) };
}

function steps(hours: readonly RawHour[], field: CheckedField): CheckFinding[] {
  const { mostStep } = CHECKS[field];
  if (mostStep === null) return [];
  return hours.flatMap((hour, index): CheckFinding[] => {
    const value = hour[field];
    const before = neighbour(hours, index, -1)?.[field] ?? null;
    const after = neighbour(hours, index, 1)?.[field] ?? null;
    if (value === null || before === null || Math.abs(value - before) <= mostStep) return [];
    const back = after !== null && Math.abs(value - after) > mostStep;
    const returns = back && Math.sign(value - before) === Math.sign(value - after);
    if (after !== null && !returns) return [];
    return [
      {
        rule: 'step',
        field,
        startMs: hour.startMs,
        endMs: hour.startMs + HOUR_MS,
        value,
        before,
        atMost: mostStep,
        followedBy: after === null ? 'nothing' : 'leap_back',
      },
    ];
  });
}

function stuck(hours: readonly RawHour[], field: CheckedField): CheckFinding[] {
  const { stuckHours, mayStay } = CHECKS[field];
  const findings: CheckFinding[] = [];
  let from = 0;
  for (let to = 1; to <= hours.length; to++) {
    const value = hours[from]?.[field] ?? null;
    const next = hours[to];
    const goesOn = neighbour(hours, to - 1, 1) === next && next?.[field] === value;
    if (goesOn && value !== null) continue;
    const first = hours[from];
    if (first && value !== null && to - from >= stuckHours && !mayStay(value)) {
      findings.push({
        rule: 'stuck',
        field,
        startMs: first.startMs,
        endMs: first.startMs + (to - from) * HOUR_MS,
        value,
        hours: to - from,
        atLeast: stuckHours,
      });
    }
    from = to;
  }
  return findings;
}

/** The hour right before or after, or undefined where there is a gap. */
function neighbour(hours: readonly RawHour[], index: number, side: -1 | 1): RawHour | undefined {
  const hour = hours[index];
  const other = hours[index + side];
  return hour && other && other.startMs - hour.startMs === side * HOUR_MS ? other : undefined;
}

function never(): boolean {
  return false;
}
