import type { TelemetryReading } from './mqtt-message.ts';
import type { KeptWeather, WeatherMemory, WeatherProblem } from './source.ts';

/** Written together: a memory that is safe against a power cut is slow for each write. */
const FLUSH_MS = 2000;
/** A broker gone mad must not fill the disk. */
const MOST_PENDING = 2000;
/** Refused messages that are kept to be told; the rest are of the same kind. */
const MOST_REFUSED = 10;

/** What came over a broker, kept so that a restart forgets none of it. */
export interface TelemetryMemory {
  add(reading: TelemetryReading): void;
  refuse(atMs: number, problem: WeatherProblem): void;
  /** Everything from an instant up to another, oldest first, and the problems of that time. */
  between(span: { fromMs: number; toMs: number }): {
    readings: TelemetryReading[];
    problems: WeatherProblem[];
  };
  newestMs(): number | null;
  /** Writes what waits. */
  flush(): void;
}

export function telemetryMemory(
  memory: WeatherMemory = inProcess(),
  source: string,
  onFault: (error: unknown) => void,
): TelemetryMemory {
  let readings: KeptWeather[] = [];
  let refused: KeptWeather[] = [];
  let timer: NodeJS.Timeout | null = null;
  const refusals = `${source} refused`;
  const flush = () => {
    if (timer !== null) clearTimeout(timer);
    timer = null;
    try {
      if (readings.length > 0) memory.remember(source, readings);
      readings = [];
      if (refused.length > 0) memory.remember(refusals, refused);
      refused = [];
    } catch (error) {
      // Kept for the next time: a disk may have room again.
      onFault(error);
    }
  };
  const later = () => {
    timer ??= setTimeout(flush, FLUSH_MS);
    timer.unref();
  };
  return {
    add({ atMs, values }) {
      if (readings.length >= MOST_PENDING) return;
      readings.push({ atMs, content: JSON.stringify(values) });
      later();
    },
    refuse(atMs, problem) {
      if (refused.length >= MOST_REFUSED) return;
      refused.push({ atMs, content: JSON.stringify(problem) });
      later();
    },
    between(span) {
      flush();
      return {
        readings: memory.recall(source, span).flatMap(({ atMs, content }) => {
          const values = parsed(content);
          return values ? [{ atMs, values: values as TelemetryReading['values'] }] : [];
        }),
        problems: memory.recall(refusals, span).flatMap(({ content }) => {
          const problem = parsed(content);
          return problem ? [problem as unknown as WeatherProblem] : [];
        }),
      };
    },
    newestMs() {
      flush();
      return memory.newest(source)?.atMs ?? null;
    },
    flush,
  };
}

function parsed(content: string): Record<string, unknown> | null {
  try {
    return JSON.parse(content) as Record<string, unknown>;
  } catch {
    return null;
  }
}

/** Where there is no daemon to remember, the process does. */
function inProcess(): WeatherMemory {
  const kept = new Map<string, KeptWeather[]>();
  const of = (source: string) => kept.get(source) ?? [];
  return {
    remember: (source, entries) => {
      const all = [...of(source), ...entries];
      kept.set(source, all.sort((a, b) => a.atMs - b.atMs).slice(-100_000));
    },
    recall: (source, { fromMs, toMs }) =>
      of(source).filter(({ atMs }) => atMs >= fromMs && atMs < toMs),
    newest: (source) => of(source).at(-1) ?? null,
  };
}
