import type { SoilHydraulics } from './retention.ts';

const LEAST_SUCTION_MM = 0.1;
const GREATEST_SUCTION_MM = 1e7;
const INTERVALS = 2048;

/**
 * The same sand with its three functions read from a table: several times faster, because powers
 * are the dearest part of the numerical column.
 *
 * Straight lines between 2049 points in the logarithm of suction. The water content stays monotone
 * and the capacity is the slope of those very lines, so water is conserved as with the functions
 * themselves. Within about 2e-5 of the water content and 0.2 % of the conductivity.
 *
 * @param soil the sand to tabulate
 * @returns a sand with the same limits
 * @throws RangeError never of itself
 */
export function tabulated(soil: SoilHydraulics): SoilHydraulics {
  const start = Math.log(LEAST_SUCTION_MM);
  const step = (Math.log(GREATEST_SUCTION_MM) - start) / INTERVALS;
  const water = new Float64Array(INTERVALS + 1);
  const conductivity = new Float64Array(INTERVALS + 1);
  for (let j = 0; j <= INTERVALS; j++) {
    const headMm = -Math.exp(start + j * step);
    water[j] = soil.waterFraction(headMm);
    conductivity[j] = soil.conductivityMmPerH(headMm);
  }
  const fill: SoilHydraulics['fill'] = (nodes, from, to) => {
    for (let i = from; i < to; i++) {
      const suctionMm = -(nodes.headMm[i] as number);
      if (suctionMm <= LEAST_SUCTION_MM) {
        // Between saturation and the first point: a straight line in the head itself.
        const part = suctionMm <= 0 ? 0 : suctionMm / LEAST_SUCTION_MM;
        const fall = soil.saturatedFraction - (water[0] as number);
        nodes.waterFraction[i] = soil.saturatedFraction - part * fall;
        nodes.capacityPerMm[i] = suctionMm <= 0 ? 0 : fall / LEAST_SUCTION_MM;
        nodes.conductivityMmPerH[i] =
          soil.saturatedMmPerH - part * (soil.saturatedMmPerH - (conductivity[0] as number));
        continue;
      }
      const place = Math.min((Math.log(suctionMm) - start) / step, INTERVALS - 1e-9);
      const j = place | 0;
      const part = place - j;
      const waterHere = water[j] as number;
      const rise = (water[j + 1] as number) - waterHere;
      const conductivityHere = conductivity[j] as number;
      nodes.waterFraction[i] = waterHere + part * rise;
      nodes.capacityPerMm[i] = -rise / (step * suctionMm);
      nodes.conductivityMmPerH[i] =
        conductivityHere + part * ((conductivity[j + 1] as number) - conductivityHere);
    }
  };
  const one = {
    headMm: new Float64Array(1),
    waterFraction: new Float64Array(1),
    capacityPerMm: new Float64Array(1),
    conductivityMmPerH: new Float64Array(1),
  };
  const at = (headMm: number, which: keyof typeof one): number => {
    one.headMm[0] = headMm;
    fill(one, 0, 1);
    return one[which][0] as number;
  };
  return {
    saturatedFraction: soil.saturatedFraction,
    residualFraction: soil.residualFraction,
    saturatedMmPerH: soil.saturatedMmPerH,
    waterFraction: (headMm) => at(headMm, 'waterFraction'),
    capacityPerMm: (headMm) => at(headMm, 'capacityPerMm'),
    conductivityMmPerH: (headMm) => at(headMm, 'conductivityMmPerH'),
    fill,
  };
}
