import { z } from 'zod';
import { quantity } from '../../../adapters/quantity.ts';
import type { RateBasis } from '../../../calc/schedule/site.ts';
import {
  catchCanResult,
  rateFromNozzle,
  runTimeMultiplierFraction,
  triangularRowSpacingM,
} from '../../../calc/sprinkler/precipitation-rate.ts';
import { idSchema } from './site-schema.ts';
import { flowSchema } from './water-supply.ts';

const spacingSchema = quantity('length', { min: 0.5, max: 60 });

const nozzleSchema = z
  .strictObject({
    flow: flowSchema.meta({ description: 'Flow of one nozzle.' }),
    head_spacing: spacingSchema.meta({ description: 'Distance between heads in a row.' }),
    row_spacing: spacingSchema
      .optional()
      .meta({ description: 'Distance between rows; left out with triangular.' }),
    triangular: z
      .boolean()
      .default(false)
      .meta({ description: 'Heads in equilateral triangles: the rows follow from head_spacing.' }),
    arc: quantity('angle', { min: 10, max: 360 })
      .prefault('360 °')
      .meta({ description: 'Arc that the head waters.' }),
  })
  .refine((nozzle) => nozzle.triangular !== (nozzle.row_spacing !== undefined), {
    error: 'needs either row_spacing or triangular: true; give exactly one of them',
  });

const catchCansSchema = z
  .strictObject({
    volumes: z
      .array(quantity('volume', { min: 0, max: 20 }))
      .max(1_000)
      .min(1)
      .optional()
      .meta({ description: 'Water in each can; needs collector_area.' }),
    collector_area: quantity('area', { min: 0.0001, max: 1 })
      .optional()
      .meta({ description: 'Area of the opening of one can.' }),
    depths: z
      .array(quantity('depth', { min: 0, max: 200 }))
      .max(1_000)
      .min(1)
      .optional()
      .meta({ description: 'Depth in each can, instead of volumes.' }),
    for_driest: z.boolean().default(false).meta({
      description:
        'Lengthen runs by the test so that the drier half gets its depth; the rest is flooded for it.',
    }),
    lasted: quantity('duration_min', { min: 0.5, max: 600 }).meta({
      description: 'How long the station ran.',
    }),
  })
  .refine((test) => (test.volumes === undefined) !== (test.depths === undefined), {
    error: 'needs either volumes or depths; give exactly one of them',
  })
  .refine((test) => test.volumes === undefined || test.collector_area !== undefined, {
    error: 'has volumes without the opening of a can; add collector_area, such as 100 cm²',
  });

/** Where a station's precipitation rate comes from: exactly one of three. */
const rateSchema = z
  .strictObject({
    stated: quantity('rate', { min: 0.001, max: 10_000 })
      .optional()
      .meta({ description: 'The rate itself.' }),
    nozzle: nozzleSchema
      .optional()
      .meta({ description: 'Worked out from nozzle flow and spacing.' }),
    catch_cans: catchCansSchema.optional().meta({ description: 'From a catch-can test.' }),
  })
  .refine(
    ({ stated, nozzle, catch_cans }) =>
      [stated, nozzle, catch_cans].filter((way) => way !== undefined).length === 1,
    { error: 'needs exactly one of stated, nozzle and catch_cans; give one of them' },
  );

/** One valve and the heads behind it. */
export const stationSchema = z.strictObject({
  id: idSchema.meta({ description: 'Id as the receiver of the plan knows it.' }),
  bed: idSchema.meta({ description: 'Bed that it waters.' }),
  main: idSchema.optional().meta({ description: 'Main that feeds it.' }),
  lateral: idSchema.optional().meta({ description: 'Lateral that feeds it.' }),
  flow: flowSchema.meta({ description: 'Flow of all its heads together.' }),
  rate: rateSchema.meta({ description: 'Precipitation rate.' }),
  rotation: quantity('duration_s', { min: 5, max: 1800 })
    .prefault('180 s')
    .meta({ description: 'Time of one full head rotation.' }),
  measured: z.boolean().optional().meta({
    description:
      'Whether the rate was measured on the site; left out: true for catch cans, false otherwise.',
  }),
});

/** The stations. */
export const stationsSchema = z
  .array(stationSchema)
  .min(1, { error: 'is empty; describe at least one station' });

export type StationConfig = z.output<typeof stationSchema>;
type RateConfig = z.output<typeof rateSchema>;

/** A station's precipitation rate and how it came to be known. */
interface StationRate {
  rateMmPerH: number;
  basis: RateBasis;
  /** Above 1 when the person wants the drier half to get its depth. */
  runTimeMultiplierFraction: number;
}

const CM2_PER_M2 = 10_000;

/** A can of 100 cm² holds 10 mL for each mm: depths go through the same test as volumes. */
const CAN_CM2 = 100;
const ML_PER_MM_IN_CAN = CAN_CM2 / 10;

/**
 * The rate that a config's `rate` gives.
 * @throws RangeError when a catch-can test caught nothing.
 */
export function stationRate(rate: RateConfig): StationRate {
  if (rate.nozzle) {
    const { flow, head_spacing, row_spacing, arc } = rate.nozzle;
    const rateMmPerH = rateFromNozzle({
      flowLPerMin: flow,
      headSpacingM: head_spacing,
      rowSpacingM: row_spacing ?? triangularRowSpacingM(head_spacing),
      arcDeg: arc,
    });
    return { rateMmPerH, basis: 'nozzle', runTimeMultiplierFraction: 1 };
  }
  if (rate.catch_cans) {
    const { volumes, collector_area, depths, lasted, for_driest } = rate.catch_cans;
    const test = volumes
      ? {
          volumesMl: volumes.map((volumeL) => volumeL * 1000),
          collectorAreaCm2: (collector_area ?? 0) * CM2_PER_M2,
        }
      : {
          volumesMl: (depths ?? []).map((depthMm) => depthMm * ML_PER_MM_IN_CAN),
          collectorAreaCm2: CAN_CM2,
        };
    const result = catchCanResult({ ...test, runMin: lasted });
    return {
      rateMmPerH: result.precipitationRateMmPerH,
      basis: 'catch_cans',
      runTimeMultiplierFraction: for_driest ? runTimeMultiplierFraction(result.duLowQuarterPct) : 1,
    };
  }
  return { rateMmPerH: rate.stated ?? 0, basis: 'stated', runTimeMultiplierFraction: 1 };
}
