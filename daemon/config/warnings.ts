import type { Site } from '../../calc/schedule/site.ts';
import type { ConfigParts } from './parts.ts';
import type { ConfigProblem } from './problems.ts';

/** Rates above this are rare with turf heads: worth a second look. */
const HIGH_RATE_MM_PER_H = 60;

/** What can be used but should be looked at: high rates, odd rotations, figures that are assumed. */
export function configWarnings(site: Site, parts: ConfigParts): ConfigProblem[] {
  return [...highRates(site, parts), ...oddRotations(site, parts), ...assumedSands(site, parts)];
}

function highRates(site: Site, parts: ConfigParts): ConfigProblem[] {
  return site.stations.flatMap((station) => {
    if (station.precipitationRateMmPerH <= HIGH_RATE_MM_PER_H) return [];
    const entry = parts.stations.find(({ id }) => id === station.id);
    const got = `${station.precipitationRateMmPerH.toFixed(1)} mm/h`;
    const message = `is unusually high (got ${got}); check that it is the rate of this station`;
    return entry ? [entry.problem(['rate'], message)] : [];
  });
}

function oddRotations(site: Site, parts: ConfigParts): ConfigProblem[] {
  const { runStepS } = site.limits;
  return site.stations.flatMap((station) => {
    if (station.rotationS % runStepS === 0) return [];
    const entry = parts.stations.find(({ id }) => id === station.id);
    const message = `is no multiple of run_step (got ${station.rotationS} s, run_step ${runStepS} s); runs round up to the next step`;
    return entry ? [entry.problem(['rotation'], message)] : [];
  });
}

function assumedSands(site: Site, parts: ConfigParts): ConfigProblem[] {
  const assumed = site.beds.filter((bed) => bed.sand.basis === 'class_default');
  const entry = parts.beds.find(({ id }) => id === assumed[0]?.id);
  if (!entry) return [];
  const names = assumed.map((bed) => bed.id).join(', ');
  const message = `is an assumed figure on ${assumed.length} of ${site.beds.length} beds (got ${names}); give the sand a capacity of its own, or correct it by looks`;
  return [entry.problem(['sand'], message)];
}
