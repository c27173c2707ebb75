import { createHash } from 'node:crypto';
import { readFileSync, statSync } from 'node:fs';
import { extname, join, resolve } from 'node:path';
import { readQuantity } from '../../../adapters/quantity.ts';
import type { Surface } from '../../../calc/looks/look-evidence.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import type { SeenOnBed } from '../../site/store/looks.ts';
import { makeOwnFolder, writeOwnFile } from '../../site/store/own-files.ts';
import { localOrInstant } from '../../site/time/site-clock.ts';
import { sayAtCommandLine as say } from '../../words/command-line.ts';
import type { ConfigOption } from './config-option.ts';
import { wrongOption } from './given-options.ts';
import { CommandFailure } from './shell.ts';

export interface LookOptions extends ConfigOption {
  bed?: string;
  saw?: Surface;
  cover?: string;
  leaf?: string;
  root?: string;
  probe?: string;
  probeDepth?: string;
  photo?: string;
  note?: string;
  at?: string;
  who?: string;
  undo?: string;
}

const DAY_MS = 24 * 3_600_000;
const LONGEST_NOTE = 500;
const MOST_PHOTO_BYTES = 30e6;
const PHOTO_KINDS = ['.jpg', '.jpeg', '.png', '.webp', '.heic'];

/** What a person says that they saw, read and checked. Copies the photo into the data folder. */
export function seenOf(
  options: LookOptions,
  given: { bedId: string; config: LoadedConfig; nowMs: number; cwd: string },
): SeenOnBed {
  const { saw, cover, leaf, root, probe, probeDepth, photo, note } = options;
  if ((probe === undefined) !== (probeDepth === undefined)) {
    throw wrongOption('probe', 'look.probe_pair');
  }
  if ([saw, cover, leaf, root, probe, photo, note].every((one) => one === undefined)) {
    throw new CommandFailure(2, say('look.nothing_seen'));
  }
  if (note !== undefined && note.length > LONGEST_NOTE) {
    throw wrongOption('note', 'refused.too_long', { got: note.length, atMost: LONGEST_NOTE });
  }
  return {
    bedId: given.bedId,
    seenMs: seenMsOf(options, given),
    surface: saw ?? null,
    coverFraction: fractionOf('cover', cover, { min: 0, max: 1 }),
    leafMm: depthOf('leaf', leaf, { min: 0, max: 500 }),
    rootMm: depthOf('root', root, { min: 0, max: 1000 }),
    probeFraction: fractionOf('probe', probe, { min: 0, max: 0.7 }),
    probeDepthMm: depthOf('probe-depth', probeDepth, { min: 1, max: 1000 }),
    note: note ?? null,
    photo: photo === undefined ? null : keptPhoto(resolve(given.cwd, photo), given.config),
  };
}

function seenMsOf({ at }: LookOptions, given: { config: LoadedConfig; nowMs: number }): number {
  const { config, nowMs } = given;
  if (at === undefined) return nowMs;
  const seenMs = localOrInstant(at, nowMs, config.clock);
  if (seenMs === null) throw wrongOption('at', 'refused.no_time', { got: at });
  if (seenMs > nowMs || seenMs < nowMs - DAY_MS) {
    throw wrongOption('at', 'look.not_within_a_day', { got: at });
  }
  return seenMs;
}

interface Range {
  min: number;
  max: number;
}

function fractionOf(name: string, text: string | undefined, range: Range): number | null {
  if (text === undefined) return null;
  const reading = readQuantity(/%|percent/i.test(text) ? text : `${text} %`, 'fraction', range);
  if (!reading.ok) throw new CommandFailure(2, `--${name}: ${reading.message}`);
  return reading.value;
}

function depthOf(name: string, text: string | undefined, range: Range): number | null {
  if (text === undefined) return null;
  const reading = readQuantity(/[a-z]/i.test(text) ? text : `${text} mm`, 'depth', range);
  if (!reading.ok) throw new CommandFailure(2, `--${name}: ${reading.message}`);
  return reading.value;
}

/** Copies a photo under the name of its content, so that the same one is kept once. */
function keptPhoto(file: string, { dataFolder }: LoadedConfig): string {
  const kind = extname(file).toLowerCase();
  if (!PHOTO_KINDS.includes(kind)) {
    throw wrongOption('photo', 'look.no_photo', { got: file, kinds: PHOTO_KINDS.join(', ') });
  }
  try {
    const stats = statSync(file);
    if (!stats.isFile()) throw new Error(say('look.no_file'));
    const { size } = stats;
    if (size > MOST_PHOTO_BYTES) {
      throw wrongOption('photo', 'look.photo_large', { bytes: size });
    }
    const bytes = readFileSync(file);
    const hash = createHash('sha256').update(bytes).digest('hex').slice(0, 32);
    const name = `${hash}${kind}`;
    makeOwnFolder(join(dataFolder, 'looks'));
    writeOwnFile(join(dataFolder, 'looks', name), bytes);
    return name;
  } catch (error) {
    if (error instanceof CommandFailure) throw error;
    const why = error instanceof Error ? error.message : String(error);
    throw wrongOption('photo', 'look.photo_failed', { file, why });
  }
}
