import { askHttp, type HttpTags } from './http-fetch.ts';
import type { HttpJsonConfig } from './http-json-config.ts';
import { type JsonTable, jsonTable } from './json-table.ts';
import { type KeptAnswer, recallAnswer, rememberAnswer, rememberSame } from './kept-answer.ts';
import { nextPollS } from './next-poll.ts';
import {
  type WeatherContext,
  type WeatherProblem,
  type WeatherReading,
  type WeatherRequest,
  type WeatherSource,
  WeatherUnreadable,
} from './source.ts';
import { readStation } from './station-table.ts';
import { stampedTable } from './timed-rows.ts';
import { stampClock } from './zone-name.ts';

/** A command that asks on its way does not wait longer. */
const MOST_PATIENCE_S = 5;
const NO_TAGS: HttpTags = { etag: null, lastModified: null };

/** An answer that was read and found sound. */
interface Held extends JsonTable {
  tags: HttpTags;
  asOfMs: number;
}

/**
 * Hourly weather from an address, asked again and again once it is started. Reading never waits for
 * the network then: it answers from the last good answer, which outlives a restart, and says its
 * age. Unstarted, as in a command, it asks once if what it holds is older than the poll interval.
 */
export function httpJsonSource(config: HttpJsonConfig, context: WeatherContext): WeatherSource {
  const name = config.name ?? new URL(config.url).host;
  const zoneClock = stampClock(config.zone, context);
  const now = () => context.now?.() ?? Date.now();
  const key = `http_json ${config.url}`;
  const mostBytes = config.most_kb * 1024;
  const ending = new AbortController();
  let held: Held | null = null;
  let lastFault: string | null = null;
  let faults = 0;
  let started = false;
  let timer: NodeJS.Timeout | null = null;
  let asking: Promise<number | null> | null = null;

  const take = (answer: KeptAnswer): void => {
    held = { ...jsonTable(answer.text, name, config), tags: answer.tags, asOfMs: answer.asOfMs };
  };
  // Not before it is needed: a command that stops water must not wait for, or fail on, the weather.
  let restored = false;
  const restore = (): void => {
    if (restored) return;
    restored = true;
    const kept = recallAnswer(context.memory, key, mostBytes);
    try {
      if (kept) take(kept);
    } catch (error) {
      // The pointers have changed since: it is asked for anew.
      if (!(error instanceof WeatherUnreadable)) throw error;
    }
  };

  const ask = async (timeoutS: number): Promise<number | null> => {
    const tags = held?.tags ?? NO_TAGS;
    const answer = await askHttp({
      url: config.url,
      timeoutS,
      mostBytes,
      tags,
      stop: ending.signal,
    });
    if (ending.signal.aborted) return null;
    const asOfMs = now();
    try {
      if (answer.kind === 'fault') throw new WeatherUnreadable(`${name}: ${answer.what}`);
      if (answer.kind === 'fresh') {
        take({ ...answer, asOfMs });
        rememberAnswer(context.memory, key, { ...answer, asOfMs });
      } else if (held !== null) {
        held = { ...held, asOfMs };
        rememberSame(context.memory, key, asOfMs);
      }
      if (lastFault !== null) context.log?.info({ weather: name }, 'answers again');
      lastFault = null;
      faults = 0;
    } catch (error) {
      const what = error instanceof Error ? error.message : String(error);
      // An address that is away for hours is one line in the log and not one each hour.
      if (what !== lastFault) context.log?.warn({ weather: name }, what);
      lastFault = what;
      faults += 1;
    }
    return answer.kind === 'fault' ? answer.retryAfterS : null;
  };
  const askOnce = (timeoutS: number): Promise<number | null> => {
    asking ??= ask(timeoutS).finally(() => {
      asking = null;
    });
    return asking;
  };
  const round = async (): Promise<void> => {
    const retryAfterS = await askOnce(config.timeout);
    if (ending.signal.aborted) return;
    const pauseS = nextPollS({ pollS: config.poll, faults, retryAfterS });
    timer = setTimeout(() => void round(), pauseS * 1000);
    timer.unref();
  };

  return {
    kind: 'http_json',
    start() {
      if (started || ending.signal.aborted) return;
      started = true;
      restore();
      void round();
    },
    async stop() {
      ending.abort();
      if (timer !== null) clearTimeout(timer);
      await asking;
    },
    async read(request) {
      // Whoever collects may have kept something newer since.
      if (context.keptOnly === true) restored = false;
      restore();
      const old = held === null || now() - held.asOfMs >= config.poll * 1000;
      if (!started && context.keptOnly !== true && old && !ending.signal.aborted) {
        await askOnce(Math.min(config.timeout, MOST_PATIENCE_S));
      }
      if (held === null) {
        const why = lastFault === null ? `${name}: no answer has come yet (got none)` : lastFault;
        throw new WeatherUnreadable(`${why}; it is asked again, and what stands in is told`);
      }
      return readHeld(held, request, { name, config, zoneClock, context, lastFault });
    },
  };
}

async function readHeld(
  held: Held,
  request: WeatherRequest,
  given: {
    name: string;
    config: HttpJsonConfig;
    zoneClock: ReturnType<typeof stampClock>;
    context: WeatherContext;
    lastFault: string | null;
  },
): Promise<WeatherReading> {
  const { name, config, zoneClock, context, lastFault } = given;
  const problems: WeatherProblem[] = [...held.table.problems];
  if (lastFault !== null) {
    const what = lastFault.replace(`${name}: `, '');
    const done = `its answer of ${context.clock.isoOf(held.asOfMs)} stands`;
    problems.push({ where: name, what, done });
  }
  const reading = await readStation(
    await stampedTable({ ...held.table, problems }, held.reader),
    {
      name,
      columns: held.columns,
      stamps: config.stamps,
      windHeightM: config.wind_height,
      format: { decimal_mark: '.', missing: config.missing },
      origin: config.tells,
      writtenMs: held.asOfMs,
    },
    { request, zoneClock, context },
  );
  // A forecast is as young as its fetching; readings are as young as the youngest of them.
  return config.tells === 'observed' ? reading : { ...reading, asOfMs: held.asOfMs };
}
