import type { Site } from '../../calc/schedule/site.ts';
import { configDoubts } from './doubts.ts';
import type { ConfigParts } from './parts.ts';
import type { ConfigProblem } from './problems.ts';

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
