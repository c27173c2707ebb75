import { readFile, stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import type { OutputContext } from '../contract.ts';
import { decode } from '../weather/file-text.ts';
import { settledWithin } from './holds-first.ts';
import { type RanRow, readRanRows } from './ran-rows.ts';
import type { Timers } from './timers.ts';

/** Looked at and not watched: on network folders nobody tells of a change. */
const LOOK_MS = 2_000;
/** Each report is a write to the disk; a long file is taken in by and by. */
const MOST_ROWS_A_LOOK = 100;
const MOST_BYTES = 5_000_000;
const MOST_PROBLEMS_A_LOOK = 10;
const STOP_PATIENCE_MS = 500;

/** Passes on what a receiver writes into a file about what ran, each line once. */
export interface RanFile {
  start(): void;
  stop(): Promise<void>;
}

/**
 * The file may be appended to or replaced. What was passed on before a restart is passed on again;
 * the store takes the same run once.
 */
export function watchRanFile(given: {
  output: string;
  file: string;
  context: OutputContext;
  timers: Timers;
}): RanFile {
  const { output, file, context, timers } = given;
  const { log } = context;
  const path = resolve(context.baseFolder, file);
  /** Lines of the file as it is now that were passed on, or told as wrong. */
  let done = new Set<string>();
  let version = '';
  let fault: string | null = null;
  let cancel: (() => void) | null = null;
  let looking: Promise<void> = Promise.resolve();

  async function look(): Promise<void> {
    const { ino, mtimeMs, size } = await stat(path);
    const found = `${ino} ${mtimeMs} ${size}`;
    if (found === version) return;
    if (size > MOST_BYTES) {
      throw new Error(`is too large (got ${size} bytes); begin a new one`);
    }
    const text = decode(await readFile(path));
    const { rows, problems } = readRanRows(text, file, context.now());
    for (const { line, text: words } of problems
      .filter(({ line }) => !done.has(line))
      .slice(0, MOST_PROBLEMS_A_LOOK)) {
      log.warn({ output }, `${output}: ${words}`);
      done.add(line);
    }
    const fresh = rows.filter(({ line }) => !done.has(line));
    for (const row of fresh.slice(0, MOST_ROWS_A_LOOK)) {
      passOn(row);
      done.add(row.line);
    }
    if (fresh.length > MOST_ROWS_A_LOOK) return;
    version = found;
    // Lines that have left the file are forgotten, so that this does not grow for a season.
    const still = new Set([...rows, ...problems].map(({ line }) => line));
    done = new Set([...done].filter((line) => still.has(line)));
  }

  function passOn({ stationId, startMs, runS, flowLPerMin }: RanRow): void {
    const atMs = context.now();
    context.report({ kind: 'ran', output, stationId, startMs, runS, flowLPerMin, atMs });
  }

  function wake(): void {
    looking = look().then(
      () => {
        fault = null;
      },
      (error: unknown) => {
        const words = faultOf(error);
        // A file that is not there yet is no fault; any other is one line and not one each look.
        if (words !== fault && words !== 'ENOENT') {
          log.warn({ output }, `${output}: ${file}: cannot be taken in (${words})`);
        }
        fault = words;
      },
    );
    void looking.then(() => {
      if (cancel !== null) cancel = timers.later(LOOK_MS, wake);
    });
  }

  return {
    start: () => {
      cancel ??= timers.later(0, wake);
    },
    stop: async () => {
      cancel?.();
      cancel = null;
      await settledWithin(looking, STOP_PATIENCE_MS);
    },
  };
}

function faultOf(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  return 'code' in error ? String(error.code) : error.message;
}
