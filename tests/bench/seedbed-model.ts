import { runUntilDry } from '../../calc/sand/bed-column.ts';
import { copyColumn, type Spell } from '../../calc/sand/richards-column.ts';
import { sandClassModels } from '../../calc/sand/sand-class-models.ts';
import { type SandClass, sandClasses } from '../../calc/sand/sand-classes.ts';
import { hoursToDry } from '../../calc/sand/seedbed-dynamics.ts';
import { type SeedbedModel, stepSeedbed } from '../../calc/sand/seedbed-model.ts';
import { bedStates, inFiveMinutes, waterInLayers } from '../../calc/sand/training-runs.ts';

/**
 * Hourly short-reference ET at Fallon, Nevada, 2015-07-01, mm, from 00:00 to 23:00 standard time:
 * the Ref-ET values for the hours ending at 01 to 23 and, last, at 00 of that day, as carried by the
 * test data of the open library RefET. The hour of dew (-0.01) counts as no demand.
 */
export const fallonReferenceMm = [
  0.02, 0.03, 0.05, 0, 0, 0.01, 0.05, 0.25, 0.38, 0.52, 0.61, 0.71, 0.95, 0.87, 0.76, 0.7, 0.6,
  0.44, 0.08, 0.17, 0.1, 0.08, 0.16, 0.07,
];

/** An invented cool day: half a sine from 06:00 to 18:00, 3.8 mm in all, not measured anywhere. */
export const inventedCoolDayMm = Array.from(
  { length: 24 },
  (_, hour) => 0.5 * Math.max(0, Math.sin((Math.PI * (hour + 0.5 - 6)) / 12)),
);

const WET_SOIL_COEFFICIENT = 1.1;
const RATE_MM_PER_H = 18;
const AFTER_H = 60;

export type StartState = 'dry' | 'half' | 'full';

/** One comparison: a start, doses, and the time from the end of the last dose to the dry limit. */
export interface SeedbedCase {
  name: string;
  kind: 'single' | 'repeated';
  start: StartState;
  spells: Spell[];
  /** End of the last dose since the beginning. */
  fromH: number;
}

interface Dose {
  atHour: number;
  mm: number;
}

/** Spells from an hour of the first day on, cut at every full hour and at each dose's ends. */
function spellsOf(
  day: readonly number[],
  { startHour, doses, endHour }: { startHour: number; doses: readonly Dose[]; endHour: number },
): Spell[] {
  const ends = doses.map(({ atHour, mm }) => atHour + mm / RATE_MM_PER_H);
  const cuts = [...doses.map(({ atHour }) => atHour), ...ends, endHour];
  const spells: Spell[] = [];
  for (let now = startHour; now < endHour - 1e-9; ) {
    const next = Math.min(Math.floor(now + 1e-9) + 1, ...cuts.filter((cut) => cut > now + 1e-9));
    const wet = doses.some(({ atHour }, i) => now > atHour - 1e-9 && now < (ends[i] ?? 0) - 1e-9);
    spells.push({
      hours: next - now,
      waterMmPerH: wet ? RATE_MM_PER_H : 0,
      demandMmPerH: WET_SOIL_COEFFICIENT * (day[Math.floor(now + 1e-9) % 24] ?? 0),
    });
    now = next;
  }
  return spells;
}

/** Single doses of five sizes at five hours on three states. */
export function singleCases(day: readonly number[]): SeedbedCase[] {
  const starts = ['dry', 'half', 'full'] as const;
  return starts.flatMap((start) =>
    [6.5, 9, 11.5, 14, 16.5].flatMap((hour) =>
      [0.5, 1, 1.5, 2, 3].map((mm): SeedbedCase => {
        const doses = [{ atHour: hour, mm }];
        const spells = spellsOf(day, { startHour: hour, doses, endHour: hour + AFTER_H });
        const fromH = mm / RATE_MM_PER_H;
        return { name: `${start}, ${mm} mm at ${hour} h`, kind: 'single', start, spells, fromH };
      }),
    ),
  );
}

/** Four to six doses a day from 07:00 to 17:00, over one to three days, then no more. */
export function repeatedCases(day: readonly number[]): SeedbedCase[] {
  const programmes = [
    [4, 1],
    [4, 2],
    [5, 1.5],
    [6, 0.7],
    [6, 1.2],
  ];
  return (['dry', 'full'] as const).flatMap((start) =>
    programmes.flatMap(([count = 4, mm = 1]) =>
      [count + 1, 2 * count - 2, 2 * count + Math.floor(count / 2), 3 * count - 1].map(
        (last): SeedbedCase => {
          const doses = Array.from({ length: last + 1 }, (_, k) => ({
            atHour: 24 * Math.floor(k / count) + 7 + (10 * (k % count)) / (count - 1),
            mm,
          }));
          const endHour = (doses.at(-1)?.atHour ?? 0) + mm / RATE_MM_PER_H;
          const spells = spellsOf(day, { startHour: 7, doses, endHour: endHour + AFTER_H });
          const name = `${start}, ${count} x ${mm} mm a day, last is dose ${last + 1}`;
          return { name, kind: 'repeated', start, spells, fromH: endHour - 7 };
        },
      ),
    ),
  );
}

export interface SeedbedRow {
  sand: string;
  case: string;
  kind: 'single' | 'repeated';
  /** From the end of the last dose to the dry limit; null when not dry within 60 h. */
  columnHours: number | null;
  modelHours: number | null;
  /** Model less column, minutes; null when one of them never dried. */
  errorMin: number | null;
  /** Within 15 % of the column's time or 10 minutes, whichever is longer; or both never dry. */
  ok: boolean;
}

/** A bed's column states, its model, and the cases' comparison. */
export function compareSeedbed(
  sand: SandClass,
  { model, cases }: { model: SeedbedModel; cases: readonly SeedbedCase[] },
): SeedbedRow[] {
  const states = bedStates(sand.bed);
  const bottoms = [
    model.seed.thicknessMm,
    model.seed.thicknessMm + model.below.thicknessMm,
    sand.bed.depthMm,
  ];
  return cases.map(({ name, kind, start, spells, fromH }) => {
    const column = copyColumn(states[start]);
    const [seedMm = 0, belowMm = 0, rootMm = 0] = waterInLayers(column, bottoms);
    const dry = runUntilDry(column, inFiveMinutes(spells), { limit: states.limit, fromH });
    let state = { seedMm, belowMm, rootMm };
    let hours = 0;
    const ahead: Spell[] = [];
    for (const spell of spells) {
      if (hours > fromH - 1e-6) ahead.push(spell);
      else {
        state = stepSeedbed(model, state, {
          waterMm: spell.waterMmPerH * spell.hours,
          demandMm: spell.demandMmPerH * spell.hours,
          hours: spell.hours,
        }).state;
      }
      hours += spell.hours;
    }
    const outlook = hoursToDry(model, state, ahead);
    const columnHours = dry === null ? null : dry.hours - fromH;
    const modelHours = outlook === null ? null : outlook.hours;
    const gapH = columnHours === null || modelHours === null ? null : modelHours - columnHours;
    const ok =
      gapH === null
        ? columnHours === modelHours
        : Math.abs(gapH) <= Math.max(0.15 * (columnHours ?? 0), 1 / 6);
    const errorMin = gapH === null ? null : gapH * 60;
    return { sand: sand.key, case: name, kind, columnHours, modelHours, errorMin, ok };
  });
}

/** The whole comparison: every class, both days, all cases. Takes about a minute. */
export function seedbedModelTable(keys?: readonly string[]): { rows: SeedbedRow[] } {
  const days = [
    ['Fallon', fallonReferenceMm],
    ['invented cool day', inventedCoolDayMm],
  ] as const;
  const rows = sandClasses
    .filter(({ key }) => keys === undefined || keys.includes(key))
    .flatMap((sand) => {
      const model = sandClassModels[sand.key]?.model;
      if (model === undefined) throw new Error(`no model of ${sand.key}`);
      return days.flatMap(([dayName, day]) => {
        const cases = [...singleCases(day), ...repeatedCases(day)];
        return compareSeedbed(sand, { model, cases }).map((row) => ({
          ...row,
          case: `${dayName}: ${row.case}`,
        }));
      });
    });
  return { rows };
}
