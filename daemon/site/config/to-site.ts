import { sandClass } from '../../../calc/sand/sand-classes.ts';
import type { Bed, BedSand, Limits, Site, Station } from '../../../calc/schedule/site.ts';
import { type BedConfig, DEFAULT_BED_SAND, type SandConfig } from './bed-schema.ts';
import type { Config } from './config.ts';
import { type StationConfig, stationRate } from './station-schema.ts';

/** A config whose beds and stations were brought together from the YAML and its tables. */
export interface WholeConfig extends Config {
  beds: BedConfig[];
  stations: StationConfig[];
}

/** The site as the calculation knows it. The config must have passed every check. */
export function toSite(config: WholeConfig): Site {
  const { site } = config;
  return {
    id: site.id,
    name: site.name,
    latitudeDeg: site.latitude,
    longitudeDeg: site.longitude,
    elevationM: site.elevation,
    beds: config.beds.map((bed) => toBed(bed, config.sands)),
    stations: config.stations.map(toStation),
    limits: toLimits(config),
  };
}

function toBed(bed: BedConfig, sands: Config['sands']): Bed {
  return {
    id: bed.id,
    name: bed.name ?? bed.id,
    areaM2: bed.area,
    seededOn: bed.seeded ?? null,
    ...(bed.water_before_seeding ? { waterBeforeSeeding: true } : {}),
    stage: bed.stage,
    sand: toSand(bed.sand, sands),
    embeddingMm: bed.embedding,
    slopePct: 100 * bed.slope,
    exposureFraction: bed.exposure,
    trimFraction: bed.trim,
  };
}

/** The sand of a name: the site's own before a class of the same name. */
export function toSand(name: string, sands: Readonly<Record<string, SandConfig>>): BedSand {
  const own = Object.hasOwn(sands, name) ? sands[name] : undefined;
  const className = own === undefined ? name : (own.class ?? DEFAULT_BED_SAND);
  const { saturatedMmPerH } = sandClass(className).bed.sand;
  if (own?.capacity !== undefined) {
    const stated = { capacityMm: own.capacity, feedMmPerH: own.feed ?? 0 };
    return { name, basis: 'stated', stated, className, saturatedMmPerH, lab: null };
  }
  if (own?.lab === undefined) {
    return { name, basis: 'class_default', stated: null, className, saturatedMmPerH, lab: null };
  }
  const lab = toLab(own.lab);
  return {
    name,
    basis: 'lab_report',
    stated: null,
    className,
    saturatedMmPerH: lab.report.saturatedMmPerH,
    lab,
  };
}

function toLab(lab: NonNullable<SandConfig['lab']>): NonNullable<BedSand['lab']> {
  return {
    report: {
      totalPorosityFraction: lab.total_porosity,
      capillaryPorosityFraction: lab.capillary_porosity,
      saturatedMmPerH: lab.saturated_conductivity,
      releasePoints: lab.release.map(({ suction, water }) => ({
        suctionCm: suction * 100,
        waterFraction: water,
      })),
    },
    depthMm: lab.depth * 1000,
    under: lab.under,
  };
}

function toStation(station: StationConfig): Station {
  const { rateMmPerH, basis, runTimeMultiplierFraction } = stationRate(station.rate);
  return {
    id: station.id,
    bedId: station.bed,
    flowLPerMin: station.flow,
    precipitationRateMmPerH: rateMmPerH,
    rateBasis: basis,
    runTimeMultiplierFraction,
    rateMeasured: station.measured ?? basis === 'catch_cans',
    rotationS: station.rotation,
    mainId: station.main ?? null,
    lateralId: station.lateral ?? null,
  };
}

function toLimits({ supply, rules, stations, outputs }: WholeConfig): Limits {
  const pipes = (list: readonly { id: string; flow: number }[]) =>
    list.map(({ id, flow }) => ({ id, flowLPerMin: flow }));
  return {
    pumpFlowLPerMin: supply.pump_flow,
    mains: pipes(supply.mains),
    laterals: pipes(supply.laterals),
    stationsAtOnce: supply.stations_at_once ?? stations.length,
    startGapS: supply.start_gap,
    leastRunS: supply.least_run,
    mostRunS: supply.most_run,
    runStepS: supply.run_step,
    stationOrder: supply.station_order,
    pumpRiseLPerMin: supply.pump_ramp ?? null,
    pumpRestS: supply.pump_rest,
    dayAllowanceL: rules.day_allowance ?? null,
    seasonAllowanceL: rules.season_allowance ?? null,
    restMin: rules.rest,
    leastCycles: rules.least_cycles,
    firstAfterSunriseMin: rules.first_after_sunrise,
    lastBeforeSunsetMin: rules.last_before_sunset,
    riskFraction: rules.risk,
    windLimitMPerS: rules.wind_limit,
    leeway:
      rules.leeway === 'none' || outputs.some((output) => !output.takes_changes)
        ? null
        : {
            spareCycles: rules.leeway.spares,
            moveMin: rules.leeway.move,
            leaveOut: rules.leeway.leave_out,
          },
  };
}
