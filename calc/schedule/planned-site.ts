import type { Site } from './site.ts';

/** A station as a plan was made for it. */
export interface PlannedStation {
  stationId: string;
  bedId: string;
  precipitationRateMmPerH: number;
  rotationS: number;
  flowLPerMin: number;
}

/**
 * The site as a plan was made for it: what must still be so when a run of the plan starts, or its
 * seconds bring another depth to other turf than a person has read. The site's id stands in the plan
 * itself.
 */
export interface PlannedSite {
  /** IANA zone of the site's clock. */
  zone: string;
  bedIds: string[];
  stations: PlannedStation[];
}

/** What of a site a plan carries along, in the order of the config. Pure. */
export function plannedSite({ beds, stations }: Site, zone: string): PlannedSite {
  return {
    zone,
    bedIds: beds.map((bed) => bed.id),
    stations: stations.map((station) => ({
      stationId: station.id,
      bedId: station.bedId,
      precipitationRateMmPerH: station.precipitationRateMmPerH,
      rotationS: station.rotationS,
      flowLPerMin: station.flowLPerMin,
    })),
  };
}
