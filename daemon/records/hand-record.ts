import type { Site } from '../../calc/schedule/site.ts';
import type { Correction } from '../store/corrections.ts';
import type { StoredHandWater } from '../store/hand-water.ts';

/** Water that a person gave and logged, as it counts. */
export interface HandRecord {
  bedId: string;
  /** The station that was run; null: a hose. */
  stationId: string | null;
  startMs: number;
  who: string;
  /** When it was logged. */
  atMs: number;
  runS: number;
  /** Mean over the bed. */
  bedMm: number;
  /** A station's by its flow; a hose's by its depth over the bed, which is an estimate. */
  volumeL: number;
  corrected: { correctionId: number; beforeMm: number } | null;
}

/** Logged water, corrections worked in, in order of time. Pure. */
export function handRecords(
  given: readonly StoredHandWater[],
  { site, corrections }: { site: Site; corrections: readonly Correction[] },
): HandRecord[] {
  return given
    .map((row): HandRecord => {
      const plain = counted(row, site);
      const subject = row.stationId ?? row.bedId;
      const right = corrections.findLast(
        (one) => one.what === 'water' && one.subject === subject && one.startMs === row.startMs,
      );
      if (right === undefined) return plain;
      const put =
        row.stationId === null
          ? { ...row, grossMm: right.correct }
          : {
              ...row,
              runS: right.correct,
              grossMm: row.runS > 0 ? (row.grossMm * right.correct) / row.runS : 0,
            };
      const corrected = { correctionId: right.correctionId, beforeMm: plain.bedMm };
      return { ...counted(put, site), corrected };
    })
    .toSorted((a, b) => a.startMs - b.startMs);
}

function counted(row: StoredHandWater, site: Site): HandRecord {
  const { bedId, stationId, startMs, who, atMs, runS, grossMm } = row;
  const stations = site.stations.filter((station) => station.bedId === bedId);
  const flowLPerMin = stations.find((one) => one.id === stationId)?.flowLPerMin ?? 0;
  const areaM2 = site.beds.find((bed) => bed.id === bedId)?.areaM2 ?? 0;
  return {
    bedId,
    stationId,
    startMs,
    who,
    atMs,
    runS,
    bedMm: stationId === null ? grossMm : grossMm / Math.max(1, stations.length),
    // 1 mm on 1 m² is 1 L.
    volumeL: stationId === null ? grossMm * areaM2 : (flowLPerMin * runS) / 60,
    corrected: null,
  };
}
