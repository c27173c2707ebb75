import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { bedStore } from '../../../../calc/sand/model-store.ts';
import { SEED_LAYER_MM } from '../../../../calc/sand/seedbed-store.ts';
import { sandModels } from '../../../../daemon/planning/sand-models.ts';
import type { ReplayForecast, Revisions } from '../../../../daemon/studies/replay/replay.ts';
import { refereesWater, replayedDays, waterOf } from '../contenders.ts';
import { KNOWN, type Known, sandKnown } from '../known-sands.ts';
import { type DayVerdict, dayVerdicts } from './day-verdicts.ts';
import type { JudgedCase } from './judged-cases.ts';
import { type BandCount, bandOf, isInBand } from './told-bands.ts';

const MIN_MS = 60_000;

export const FORECASTS = ['perfect', 'day-ahead', 'yesterday'] as const;
export type Forecast = (typeof FORECASTS)[number];

/** Minutes after which a person confirms each revision; null: the morning's plan stands all day. */
export const CONFIRMS = [
  { name: 'one confirm', afterMin: null },
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
}

/** A row of the table: what is known of the bed, and how its days are lived. */
export interface JudgedRow {
  name: string;
  /** The first day that counts, from 0: a row that learns is judged once it could. */
  fromDay: number;
  run(judged: JudgedCase, cell: Cell): Promise<CellResult>;
}

const modelsOf = sandModels(join(tmpdir(), 'dewbeat-season-sands'));

/** A plan on what is known of the sand, nobody looking. */
function rowOf(known: Known): JudgedRow {
  return {
    name: known,
    fromDay: 0,
    async run({ one, standIn, truth, dayAhead }, { forecast, confirm }) {
      const models = modelsOf(sandKnown(known, standIn, truth.reported), SEED_LAYER_MM);
      const forecasts: Record<Forecast, ReplayForecast> = {
        perfect: { kind: 'perfect' },
        'day-ahead': { kind: 'source', reading: dayAhead },
        yesterday: { kind: 'persistence' },
      };
      const done = await replayedDays(one, {
        store: bedStore(models),
        forecast: forecasts[forecast],
        revisions: revisionsOf(one.config.revisions, confirm),
      });
      const bands = { told: 0, inside: 0 };
      const days = dayVerdicts(one, waterOf(done), (morning, day) => {
        const band = bandOf(done[day]?.morning.beds[0]);
        if (band === null) return;
        bands.told++;
        if (isInBand(one, morning, band)) bands.inside++;
      });
      return { days, bands };
    },
  };
}

export const ROWS: readonly JudgedRow[] = KNOWN.map(rowOf);

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
