import { otherUnits } from '../../../adapters/quantity.ts';
import type { Site } from '../../../calc/schedule/site.ts';
import type { BedConfig } from './bed-schema.ts';
import type { ConfigParts } from './config.ts';
import type { Entry } from './entry.ts';
import type { ConfigProblem } from './problems.ts';
import { stationDoubt } from './rate-fit.ts';
import { type StationConfig, stationRate } from './station-schema.ts';

/** What cannot be meant, and what is asked about: the first is refused, the second told. */
interface Doubts {
  refused: ConfigProblem[];
  asked: ConfigProblem[];
}

/** Greens have 200 to 1,500 m², small tees a quarter of that, large fields more (common practice). */
const USUAL_AREA_M2 = { least: 50, most: 3_000 };
/** One valve's heads wet more than the lower; two hectares are a fairway and no bed of a few valves. */
const POSSIBLE_AREA_M2 = { least: 10, most: 20_000 };
/** Stations of one site have heads of a kind: a rate so far from the middle one is a slip, or news. */
const OUTLIER_FACTOR = 5;
/** Fewer stations have no middle to be far from. */
const LEAST_FOR_MIDDLE = 3;

/** Figures of a config that can be read and can hardly be meant, each where it stands. */
export function configDoubts(parts: ConfigParts): Doubts {
  const all = [
    ...rateDoubts(parts),
    ...parts.beds.flatMap(area),
    ...outliers(parts.stations),
    ...slowPump(parts),
    ...dayNotTold(parts),
  ];
  const problemsOf = (isRefused: boolean) =>
    all.filter((doubt) => doubt.isRefused === isRefused).map(({ problem }) => problem);
  return { refused: problemsOf(true), asked: problemsOf(false) };
}

interface Told {
  /** True: no config is taken with it. */
  isRefused: boolean;
  problem: ConfigProblem;
}

/** Each station's rate against what heads do, and against its flow over its bed. */
export function rateDoubts({ beds, stations }: Pick<ConfigParts, 'beds' | 'stations'>): Told[] {
  const bedOf = new Map(beds.map((bed) => [bed.id, bed]));
  const shares = new Map<string, number>();
  for (const { value } of stations) {
    if (value !== null) shares.set(value.bed, (shares.get(value.bed) ?? 0) + 1);
  }
  return stations.flatMap((station) => {
    const { value } = station;
    if (value === null) return [];
    const bed = bedOf.get(value.bed);
    // An area that is refused itself says nothing of the rate.
    const areaM2 = isWithin(bed?.value?.area ?? 0, POSSIBLE_AREA_M2) ? bed?.value?.area : undefined;
    return orNoCatch(() =>
      stationDoubt(value, {
        bed: areaM2 === undefined ? null : { areaM2, stations: shares.get(value.bed) ?? 1 },
        written: {
          rate: station.written(['rate', 'stated']),
          flow: station.written(['flow']),
          area: bed?.written(['area']) ?? null,
        },
      }),
    ).map(({ isRefused, message }) => ({
      isRefused,
      problem: station.problem(
        value.rate.stated === undefined ? ['rate'] : ['rate', 'stated'],
        message,
      ),
    }));
  });
}

/** Cans that caught nothing are told of elsewhere. */
function orNoCatch<T>(give: () => T | null): T[] {
  try {
    const given = give();
    return given === null ? [] : [given];
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return [];
  }
}

function area(bed: Entry<BedConfig>): Told[] {
  const areaM2 = bed.value?.area;
  if (areaM2 === undefined || isWithin(areaM2, USUAL_AREA_M2)) return [];
  const isRefused = !isWithin(areaM2, POSSIBLE_AREA_M2);
  const text = bed.written(['area']) ?? '';
  const meant = otherUnits(text, 'area', (value) => isWithin(value, USUAL_AREA_M2));
  const advice = [
    ...(meant.length === 0 ? [] : [`write ${meant.join(' or ')} if that is meant`]),
    isRefused ? 'correct it, or part the bed' : 'look at the number and its unit',
  ].join(', or ');
  const what = isRefused ? 'is no area of one bed' : 'is an unusual area of one bed';
  const inM2 = `${Number(areaM2.toPrecision(3))} m²`;
  const message = `${what} (got ${text === inM2 ? text : `${text}, ${inM2}`}); ${advice}`;
  return [{ isRefused, problem: bed.problem(['area'], message) }];
}

function outliers(stations: readonly Entry<StationConfig>[]): Told[] {
  const rated = stations.flatMap((station) => {
    const { value } = station;
    if (value === null) return [];
    return orNoCatch(() => stationRate(value.rate).rateMmPerH).map((rate) => ({ station, rate }));
  });
  if (rated.length < LEAST_FOR_MIDDLE) return [];
  const sorted = rated.map(({ rate }) => rate).sort((a, b) => a - b);
  const middle = sorted[Math.floor(sorted.length / 2)] ?? 0;
  return rated.flatMap(({ station, rate }) => {
    const factor = rate > middle ? rate / middle : middle / rate;
    if (factor <= OUTLIER_FACTOR) return [];
    const than = rate > middle ? 'above' : 'below';
    const message = `lies far ${than} the other stations (got ${rate.toFixed(1)} mm/h, ${factor.toFixed(0)} times ${than} the middle one, ${middle.toFixed(1)} mm/h); check the rate and its unit`;
    return [{ isRefused: false, problem: station.problem(['rate'], message) }];
  });
}

/** No water is planned on a bed in germination without a day of seeding: the plan tells it too. */
function dayNotTold({ beds }: ConfigParts): Told[] {
  const untold = beds.filter(
    ({ value }) =>
      value !== null &&
      value.seeded === undefined &&
      value.stage === 'germination' &&
      !value.water_before_seeding,
  );
  const [first] = untold;
  if (first === undefined) return [];
  const message = `has no day of seeding, so no water is planned (got ${untold.length} of ${beds.length} beds without); write seeded: and the day, or water_before_seeding: true`;
  return [{ isRefused: false, problem: first.problem(['id'], message) }];
}

/** A pump that may not rise by two stations within a minute opens one a minute. */
function slowPump({ supply, stations }: ConfigParts): Told[] {
  const rampLPerMin = supply.value?.pump_ramp;
  if (rampLPerMin === undefined || supply.value?.station_order === 'in_turn') return [];
  const waits = new Map<string, { stations: number; slow: number }>();
  for (const { value } of stations) {
    if (value === null) continue;
    const own = waits.get(value.bed) ?? { stations: 0, slow: 0 };
    const isSlow = value.flow <= rampLPerMin && 2 * value.flow > rampLPerMin;
    waits.set(value.bed, { stations: own.stations + 1, slow: own.slow + (isSlow ? 1 : 0) });
  }
  const waitMin = ({ stations: all, slow }: { stations: number; slow: number }) =>
    Math.min(slow, all - 1);
  const [most] = [...waits].sort(([, one], [, other]) => waitMin(other) - waitMin(one));
  if (most === undefined || waitMin(most[1]) < 1) return [];
  const [bedId, own] = most;
  const message = `lets one station open in a minute (got ${Number(rampLPerMin.toFixed(1))} L/min, less than two of them): the last of the ${own.stations} stations of ${bedId} starts ${waitMin(own)} min after the first; check the figure and its unit`;
  return [{ isRefused: false, problem: supply.problem(['pump_ramp'], message) }];
}

function isWithin(value: number, { least, most }: { least: number; most: number }): boolean {
  return value >= least && value <= most;
}

/** Rates above this are rare with turf heads: worth a second look. */
const HIGH_RATE_MM_PER_H = 60;

/** Greens are built with about 300 mm of sand, sand caps with less (common practice). */
const USUAL_DEPTH_MM = { least: 200, most: 500 };

const MOST_NAMES_SHOWN = 40;

/** What can be used but should be looked at: high rates, odd rotations, figures that are assumed. */
export function configWarnings(site: Site, parts: ConfigParts): ConfigProblem[] {
  const stations = new Map(parts.stations.map((entry) => [entry.id, entry]));
  return [
    ...configDoubts(parts).asked,
    ...highRates(site, stations),
    ...oddRotations(site, stations),
    ...oddDepths(site, parts),
    ...assumedSands(site, parts),
  ];
}

type StationEntries = ReadonlyMap<string | null, ConfigParts['stations'][number]>;

function highRates(site: Site, stations: StationEntries): ConfigProblem[] {
  return site.stations.flatMap((station) => {
    if (station.precipitationRateMmPerH <= HIGH_RATE_MM_PER_H) return [];
    const entry = stations.get(station.id);
    const got = `${station.precipitationRateMmPerH.toFixed(1)} mm/h`;
    const message = `is unusually high (got ${got}); check that it is the rate of this station`;
    return entry ? [entry.problem(['rate'], message)] : [];
  });
}

function oddRotations(site: Site, stations: StationEntries): ConfigProblem[] {
  const { runStepS } = site.limits;
  return site.stations.flatMap((station) => {
    if (station.rotationS % runStepS === 0) return [];
    const entry = stations.get(station.id);
    const message = `is no multiple of run_step (got ${station.rotationS} s, run_step ${runStepS} s); runs round up to the next step`;
    return entry ? [entry.problem(['rotation'], message)] : [];
  });
}

function oddDepths(site: Site, parts: ConfigParts): ConfigProblem[] {
  const seen = new Set<string>();
  const entries = new Map(parts.beds.map((bed) => [bed.id, bed]));
  return site.beds.flatMap(({ id, sand }) => {
    const depthMm = sand.lab?.depthMm ?? USUAL_DEPTH_MM.least;
    const isUsual = depthMm >= USUAL_DEPTH_MM.least && depthMm <= USUAL_DEPTH_MM.most;
    const entry = entries.get(id);
    if (isUsual || entry === undefined || seen.has(sand.name)) return [];
    seen.add(sand.name);
    const message = `names a sand of unusual depth (got ${sand.name}, ${depthMm.toFixed(0)} mm); check depth and unit of its lab report`;
    return [entry.problem(['sand'], message)];
  });
}

function assumedSands(site: Site, parts: ConfigParts): ConfigProblem[] {
  const assumed = site.beds.filter((bed) => bed.sand.basis === 'class_default');
  const entry = parts.beds.find(({ id }) => id === assumed[0]?.id);
  if (!entry) return [];
  const first = assumed.slice(0, MOST_NAMES_SHOWN).map((bed) => bed.id);
  const names = assumed.length > first.length ? `${first.join(', ')}, and more` : first.join(', ');
  const message = `is an assumed figure on ${assumed.length} of ${site.beds.length} beds (got ${names}); give the sand a capacity of its own, or correct it by looks`;
  return [entry.problem(['sand'], message)];
}
