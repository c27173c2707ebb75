import { libraryStore, type SandMember } from '../../calc/futures/sand-members.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import { modelStore } from '../../calc/sand/model-store.ts';
import { sandClassModels } from '../../calc/sand/sand-class-models.ts';
import { plainStore, type SeedbedStore, type StoreState } from '../../calc/sand/seedbed-store.ts';
import type { DayPlanInput } from '../../calc/schedule/plan-day.ts';
import type { Bed, KeepOff, Limits, Site, Station } from '../../calc/schedule/site.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';
import { type RandomNumbers, randomNumbers } from './random-numbers.ts';
import { scaledStore } from './scaled-store.ts';

const HOUR_MS = 3_600_000;
const MIN_MS = 60_000;
/** Midnight of the invented site day, UTC-7. */
export const DAY_START_MS = Date.parse('2026-07-01T00:00:00-07:00');

const MODELLED_SANDS = ['coarse_open', 'medium_open', 'medium_over_gravel'] as const;

/** How large and how tight the sites are that are invented. */
export interface SiteSpan {
  leastBeds: number;
  mostBeds: number;
}

/**
 * An invented site on an invented day: beds, stations that differ in rate and rotation, a supply
 * between tight and loose, keep-offs, hours. The same seed gives the same day; no number was measured.
 */
export function inventedDay(
  seed: number,
  span: SiteSpan = { leastBeds: 3, mostBeds: 20 },
): DayPlanInput {
  const random = randomNumbers(seed);
  const bedCount = random.whole(span.leastBeds, span.mostBeds);
  const beds = Array.from({ length: bedCount }, (_, index) => inventedBed(index, random));
  const mains = random.whole(0, 3);
  const laterals = random.whole(0, 2);
  const stations = beds.flatMap((bed, index) =>
    inventedStations(bed, random, {
      mainId: mains === 0 ? null : `main-${index % mains}`,
      lateralId: laterals === 0 ? null : `lateral-${index % laterals}`,
    }),
  );
  const limits = inventedLimits(random, { beds, stations, mains, laterals });
  const site: Site = {
    id: `invented-${seed}`,
    name: `Invented site ${seed}`,
    latitudeDeg: 38,
    longitudeDeg: -105,
    elevationM: 300,
    beds,
    stations,
    limits,
  };
  const hours = inventedHours(random);
  const startMs = DAY_START_MS + random.of([3, 4, 5, 5, 5, 6, 8, 10, 13]) * HOUR_MS;
  const stores = inventedStores(beds, random, seed % 3 === 0 ? KNOWN : UNSURE);
  const usedL = random.between(0, 3000);
  return {
    site,
    stages: STAGES,
    siteDay: '2026-07-01',
    revision: 1,
    madeAtMs: startMs,
    dayStartMs: DAY_START_MS,
    nextDayStartMs: DAY_START_MS + 24 * HOUR_MS,
    afterNextDayStartMs: DAY_START_MS + 48 * HOUR_MS,
    startMs,
    firstRunMs: startMs + random.of([0, 0, 10 * MIN_MS]),
    kept: [],
    ranBefore: {
      dayL: limits.dayAllowanceL === null ? 0 : usedL,
      seasonL: limits.seasonAllowanceL === null ? 0 : 50_000 + usedL,
      pumpStoppedMs: random.chance(0.5) ? startMs - 60_000 : null,
      bedEndsMs: new Map(
        beds.filter(() => random.chance(0.1)).map((bed) => [bed.id, startMs - 5 * MIN_MS]),
      ),
    },
    hours: hours.filter((hour) => hour.startMs >= Math.floor(startMs / HOUR_MS) * HOUR_MS),
    weather: { source: 'invented', asOfMs: startMs },
    keepOffs: inventedKeepOffs(beds, random),
    stores,
    statesNow: statesOf(stores, random),
    notes: [],
  };
}

function inventedBed(index: number, random: RandomNumbers): Bed {
  return {
    id: `bed-${String(index + 1).padStart(2, '0')}`,
    name: `Bed ${index + 1} (invented)`,
    areaM2: 450,
    seededOn: '2026-06-26',
    stage: random.of(['germination', 'germination', 'germination', 'emergence', 'tillering']),
    sand: {
      name: 'invented',
      basis: 'stated',
      stated: { capacityMm: random.between(0.5, 3), feedMmPerH: random.of([0, 0.03, 0.1]) },
      className: 'medium_over_gravel',
      saturatedMmPerH: 350,
      lab: null,
    },
    embeddingMm: 0,
    slopePct: 2,
    exposureFraction: random.between(0.75, 1.2),
    trimFraction: random.of([1, 1, 1, 0.9, 1.1]),
  };
}

function inventedStations(
  bed: Bed,
  random: RandomNumbers,
  pipes: Pick<Station, 'mainId' | 'lateralId'>,
): Station[] {
  return Array.from({ length: random.whole(1, 4) }, (_, index) => ({
    id: `${bed.id}-${index + 1}`,
    bedId: bed.id,
    flowLPerMin: random.whole(60, 140),
    precipitationRateMmPerH: random.between(10, 24),
    rateBasis: 'stated',
    rateMeasured: true,
    runTimeMultiplierFraction: random.of([1, 1, 1, 1, 1.15]),
    rotationS: random.whole(60, 180),
    ...pipes,
  }));
}

function inventedLimits(
  random: RandomNumbers,
  site: { beds: readonly Bed[]; stations: readonly Station[]; mains: number; laterals: number },
): Limits {
  const { beds, stations, mains, laterals } = site;
  const stationOrder = random.of(['together', 'together', 'in_turn'] as const);
  const own = beds.map((bed) => stations.filter((one) => one.bedId === bed.id));
  const flowOf = (some: readonly Station[]) => some.map((one) => one.flowLPerMin);
  const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);
  const most = Math.max(
    ...own.map((some) =>
      stationOrder === 'together' ? sum(flowOf(some)) : Math.max(...flowOf(some)),
    ),
  );
  const widest = Math.max(...own.map((some) => (stationOrder === 'together' ? some.length : 1)));
  const largest = Math.max(...flowOf(stations));
  const pipe = (id: string) => ({ id, flowLPerMin: most * random.of([1, 1.3, 2, 3]) });
  return {
    pumpFlowLPerMin: most * random.of([1, 1, 1.2, 1.5, 2, 3, 5]),
    mains: Array.from({ length: mains }, (_, index) => pipe(`main-${index}`)),
    laterals: Array.from({ length: laterals }, (_, index) => pipe(`lateral-${index}`)),
    stationsAtOnce: random.of([widest, widest + 2, 12]),
    startGapS: random.of([0, 5, 5, 15, 30]),
    mostRunS: 1800,
    leastCycles: 0,
    leastRunS: 60,
    runStepS: random.of([1, 1, 10, 60]),
    stationOrder,
    pumpRiseLPerMin: random.of([null, null, null, largest, largest * 1.6, largest * 2.5]),
    pumpRestS: random.of([0, 0, 0, 120, 600]),
    dayAllowanceL: random.of([null, null, null, beds.length * 2500]),
    seasonAllowanceL: random.of([null, null, null, 50_000 + beds.length * 3000]),
    restMin: random.of([0, 10, 20, 30, 45, 60]),
    firstAfterSunriseMin: random.of([-30, 0, 30, 60, 120]),
    lastBeforeSunsetMin: random.of([0, 30, 60, 120, 180]),
    riskFraction: random.of([0.05, 0.1, 0.2]),
    windLimitMPerS: random.of([4, 5, 99]),
  };
}

/** Hot and windy, mild, or cool days, some with frost at dawn, some with a shower. */
function inventedHours(random: RandomNumbers): EtHour[] {
  const peakMm = random.of([0.3, 0.5, 0.7, 0.8, 0.95]);
  const windMPerS = random.between(1, 4);
  const gustyAfter = random.of([24, 24, 12, 14]);
  const nightC = random.of([14, 14, 14, 8, 1]);
  const rainMm = random.of([0, 0, 0, 0, 1, 6]);
  return Array.from({ length: 60 }, (_, index): EtHour => {
    const hourOfDay = index % 24;
    const sun = Math.max(0, Math.sin(((hourOfDay - 6) / 13) * Math.PI));
    const etMm = hourOfDay >= 6 && hourOfDay < 19 ? peakMm * sun : -0.005;
    return {
      startMs: DAY_START_MS + index * HOUR_MS,
      origin: 'forecast',
      airTempC: nightC + 16 * sun + (hourOfDay >= 8 && hourOfDay < 20 ? 3 : 0),
      vapourPressureKPa: 0.6,
      windMPerS: windMPerS + (hourOfDay >= gustyAfter && hourOfDay < gustyAfter + 4 ? 3 : 0),
      solarMjPerM2: 3 * sun,
      rainMm: index === 14 ? rainMm : 0,
      filled: [],
      referenceEtMm: etMm,
      wetNightEtMm: etMm < 0 ? 0.01 : etMm,
    };
  });
}

function inventedKeepOffs(beds: readonly Bed[], random: RandomNumbers): KeepOff[] {
  return beds.flatMap((bed) =>
    Array.from({ length: random.of([0, 0, 1, 1, 2]) }, () => {
      const startMs = DAY_START_MS + Math.round(random.between(5, 18) * 60) * MIN_MS;
      const lastsMin = Math.round(random.of([20, 45, 90, 180]) * random.between(0.8, 1.2));
      const why = random.of(['roll', 'mow', 'feed', 'visitors']);
      return { bedId: bed.id, startMs, endMs: startMs + lastsMin * MIN_MS, why };
    }),
  );
}

interface InventedMember extends Omit<SandMember, 'store'> {
  capacityFactor: number;
}

/** One site in three has sands that are taken for known. */
const KNOWN: readonly InventedMember[] = [
  { capacityFactor: 1, weightFraction: 1, lossFactor: 1, nightFraction: 0 },
];
/** The others may be any of these, weighed unlike each other. */
const UNSURE: readonly InventedMember[] = [
  { capacityFactor: 0.8, weightFraction: 0.15, lossFactor: 1.1, nightFraction: 1 },
  { capacityFactor: 1, weightFraction: 0.4, lossFactor: 1, nightFraction: 0 },
  { capacityFactor: 1.1, weightFraction: 0.25, lossFactor: 0.95, nightFraction: 0.5 },
  { capacityFactor: 0.9, weightFraction: 0.2, lossFactor: 1.05, nightFraction: 0.25 },
];

/** One site in five stands on modelled sands, whose state does not follow from sums. */
function inventedStores(
  beds: readonly Bed[],
  random: RandomNumbers,
  members: readonly InventedMember[],
): Map<string, SeedbedStore> {
  const isModelled = random.chance(0.2);
  return new Map(
    beds.map((bed) => {
      const known = sandClassModels[random.of(MODELLED_SANDS)];
      const { stated } = bed.sand;
      if (stated === null || known === undefined)
        throw new Error('an invented bed has its figures');
      const store = isModelled ? modelStore(known.model) : plainStore(stated);
      const asAny = members.map(({ capacityFactor, ...member }) => ({
        ...member,
        store: capacityFactor === 1 ? store : scaledStore(store, capacityFactor),
      }));
      return [bed.id, libraryStore(asAny)];
    }),
  );
}

function statesOf(
  stores: ReadonlyMap<string, SeedbedStore>,
  random: RandomNumbers,
): Map<string, StoreState> {
  return new Map(
    [...stores].map(([bedId, store]) => [bedId, store.stateAt(random.between(0.1, 1), 0.3)]),
  );
}
