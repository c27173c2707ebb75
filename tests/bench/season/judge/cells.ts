import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { WeatherReading } from '../../../../adapters/weather/source.ts';
import { bedStore, memberSpread } from '../../../../calc/futures/member-spread.ts';
import type { AppliedWater } from '../../../../calc/sand/reference-column.ts';
import { SEED_LAYER_MM } from '../../../../calc/sand/seedbed-store.ts';
import type { DayPlan } from '../../../../calc/schedule/day-plan.ts';
import { sandModels } from '../../../../daemon/planning/sand-models.ts';
import type { ReplayForecast } from '../../../../daemon/studies/replay/known-weather.ts';
import type { Revisions } from '../../../../daemon/studies/replay/replay.ts';
import { seeded } from '../../../seeded.ts';
import { livedDays, toldWeather } from '../../looks/lived-days.ts';
import {
  commonPracticeWater,
  FOLLOWED,
  refereesWater,
  replayedDays,
  waterOf,
} from '../contenders.ts';
import { KNOWN, type Known, sandKnown } from '../known-sands.ts';
import type { SeasonCase } from '../season-case.ts';
import { type DayVerdict, dayVerdicts } from './day-verdicts.ts';
import type { JudgedCase } from './judged-cases.ts';
import { type BandCount, bandOf, isInBand } from './told-bands.ts';

const MIN_MS = 60_000;

export const FORECASTS = ['perfect', 'day-ahead', 'yesterday'] as const;
export type Forecast = (typeof FORECASTS)[number];

/** Minutes after which a person confirms each revision; null: the morning's plan stands all day. */
export const CONFIRMS = [
  { name: 'one confirm', afterMin: null },
  { name: 'with leeway', afterMin: null },
  { name: 'after 15 min', afterMin: 15 },
  { name: 'after 60 min', afterMin: 60 },
] as const;
export type Confirm = (typeof CONFIRMS)[number];

/** What is known, foretold and confirmed: one figure of the table. */
export interface Cell {
  row: JudgedRow;
  forecast: Forecast;
  confirm: Confirm;
}

/** A case in a cell. */
export interface CellResult {
  days: DayVerdict[];
  bands: BandCount;
  /** Spare cycles that ran on each day, where it was followed within a leeway; left out: not told. */
  spares?: number[];
}

/** A row of the table: what is known of the bed, and how its days are lived. */
export interface JudgedRow {
  name: string;
  /** The first day that counts, from 0: a row that learns is judged once it could. */
  fromDay: number;
  forecasts: readonly Forecast[];
  /** How it is confirmed; left out: every way. */
  confirms?: readonly Confirm['name'][];
  run(judged: JudgedCase, cell: Cell): Promise<CellResult>;
}

const MODELS_FOLDER = join(tmpdir(), 'dewbeat-season-sands');
const modelsOf = sandModels(MODELS_FOLDER);

/** A plan on what is known of the sand, nobody looking. */
function rowOf(known: Known): JudgedRow {
  return {
    name: known,
    fromDay: 0,
    forecasts: FORECASTS,
    async run(judged, { forecast, confirm }) {
      const { one, standIn, truth } = judged;
      const models = modelsOf(sandKnown(known, standIn, truth.reported), SEED_LAYER_MM);
      const done = await replayedDays(one, {
        store: bedStore(memberSpread(models)),
        forecast: replayForecast(judged, forecast),
        revisions: revisionsOf(one.config.revisions, confirm),
        leeway: confirm.name === 'with leeway' ? FOLLOWED : null,
      });
      const result = resultOf(
        one,
        waterOf(done),
        done.map(({ morning }) => morning),
      );
      const added = (day: (typeof done)[number]) =>
        (day.uses ?? []).reduce((sum, { addedMs }) => sum + addedMs.length, 0);
      return confirm.name === 'with leeway' ? { ...result, spares: done.map(added) } : result;
    },
  };
}

/**
 * The class, and three looks a day of which a fifth are wrong, by an eye that nobody knows. Lived by
 * the daemon's own acts. With one confirm a day a look speaks in the plan of the next morning; else a
 * plan is made and confirmed so long after each look.
 */
const CLASS_AND_LOOKS: JudgedRow = {
  name: 'class and looks',
  fromDay: 2,
  forecasts: ['day-ahead'],
  async run(judged, { forecast, confirm }) {
    const { one, standIn, truth, seed } = judged;
    const unit = seeded(PERSON_SEED + seed);
    const [least, most] = EYE_FRACTION;
    const lived = await livedDays(one, {
      sand: sandKnown('class alone', standIn, truth.reported),
      person: { eyeFraction: least + (most - least) * unit(), wrongFraction: 0.2, unit },
      modelsFolder: MODELS_FOLDER,
      weather: toldWeather(one, foretold(judged, forecast)),
      planAfterMin: confirm.afterMin,
      followEveryMin: confirm.name === 'with leeway' ? 15 : null,
    });
    return resultOf(one, lived.applied, lived.mornings);
  },
};

/** Five minutes every two hours, whatever the day: what many do. */
const FIXED_CLOCK: JudgedRow = {
  name: 'fixed clock',
  fromDay: 0,
  forecasts: ['perfect'],
  confirms: ['one confirm'],
  run: ({ one }) => Promise.resolve(resultOf(one, commonPracticeWater(one), [])),
};

/** Of the store, below which somebody calls the surface lightening. */
const EYE_FRACTION = [0.15, 0.45] as const;
const PERSON_SEED = 800_000;

export const ROWS: readonly JudgedRow[] = [...KNOWN.map(rowOf), CLASS_AND_LOOKS, FIXED_CLOCK];

function resultOf(
  one: SeasonCase,
  applied: readonly AppliedWater[],
  mornings: readonly DayPlan[],
): CellResult {
  const bands = { told: 0, inside: 0 };
  const days = dayVerdicts(one, applied, (morning, day) => {
    const band = bandOf(mornings[day]?.beds[0]);
    if (band === null) return;
    bands.told++;
    if (isInBand(one, morning, band)) bands.inside++;
  });
  return { days, bands };
}

/** What is told of the hours to come; null: nothing, and yesterday stands in. */
function foretold({ one, dayAhead }: JudgedCase, forecast: Forecast): WeatherReading | null {
  if (forecast === 'yesterday') return null;
  return forecast === 'perfect' ? one.reading : dayAhead;
}

function replayForecast(judged: JudgedCase, forecast: Forecast): ReplayForecast {
  if (forecast === 'perfect') return { kind: 'perfect' };
  const reading = foretold(judged, forecast);
  return reading === null ? { kind: 'persistence' } : { kind: 'source', reading };
}

/** Revised when the daemon's own rule says so. */
function revisionsOf(
  rule: NonNullable<Revisions['rule']>,
  { afterMin }: Confirm,
): Revisions | null {
  if (afterMin === null) return null;
  return { rule, everyMs: rule.everyMs, confirmMs: afterMin * MIN_MS };
}

/** The referee's own days: what no plan made ahead can reach. */
export function referenceDays({ one }: JudgedCase): DayVerdict[] {
  return dayVerdicts(one, refereesWater(one).applied);
}
