/** A message of the run topic. */
export interface RunMessage {
  order_id: string | null;
  run_id: string | null;
  station: string;
  seconds: number;
  start: string;
  ends: string;
  expires: string | null;
}

/** Valves that know only on and off: they obey seconds and expiry, and nothing else. */
export interface ValvePanel {
  hear(message: RunMessage, nowMs: number): void;
  /** Stations that are on now. */
  on(nowMs: number): { station: string; runId: string; untilMs: number }[];
  readonly counts: { opened: number; shut: number; expired: number; mostOn: number };
}

/** What a loaded machine may need from the sending of a message to its arrival. */
export const FLIGHT_MS = 1_500;

/** @param promised What is owed to the panel; `broken` hears what was not kept. */
export function valvePanel(
  promised: { toleranceMs: number; mostAtOnce: number },
  broken: (what: string) => void,
): ValvePanel {
  const seen = new Set<string>();
  let open: { station: string; runId: string; untilMs: number }[] = [];
  const counts = { opened: 0, shut: 0, expired: 0, mostOn: 0 };
  const settle = (nowMs: number) => {
    open = open.filter(({ untilMs }) => untilMs > nowMs);
  };
  return {
    counts,
    on(nowMs) {
      settle(nowMs);
      return open;
    },
    hear({ station, run_id: runId, seconds, start, ends, expires }, nowMs) {
      settle(nowMs);
      if (seconds === 0) {
        counts.shut += 1;
        open = open.filter((one) => station !== '*' && one.station !== station);
        return;
      }
      if (runId === null || expires === null) {
        broken(`${station}: opened without a run or an expiry`);
        return;
      }
      if (seen.has(runId)) broken(`${runId}: came twice`);
      seen.add(runId);
      const lateMs = nowMs - Date.parse(start);
      if (lateMs < -50) broken(`${runId}: came ${-lateMs} ms early`);
      if (lateMs > promised.toleranceMs + FLIGHT_MS) broken(`${runId}: came ${lateMs} ms late`);
      if (nowMs + seconds * 1000 > Date.parse(ends) + FLIGHT_MS) {
        broken(`${runId}: would not end by itself at its end`);
      }
      if (nowMs > Date.parse(expires)) {
        counts.expired += 1;
        return;
      }
      // One that ends within the flight of the next message is as good as shut.
      const busy = open.filter(({ untilMs }) => untilMs > nowMs + FLIGHT_MS);
      if (busy.some((one) => one.station === station)) broken(`${runId}: its station is on`);
      open = open.filter((one) => one.station !== station);
      open.push({ station, runId, untilMs: nowMs + seconds * 1000 });
      counts.opened += 1;
      counts.mostOn = Math.max(counts.mostOn, busy.length + 1);
      if (busy.length + 1 > promised.mostAtOnce) {
        broken(`${runId}: ${busy.length + 1} stations would be on, ${promised.mostAtOnce} may`);
      }
    },
  };
}
