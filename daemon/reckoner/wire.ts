import type { LoadedConfig } from '../config/loaded-config.ts';
import type { CarriedError } from './carried-error.ts';
import type { Question } from './questions.ts';

/**
 * A config without its clock, which is made anew from the zone: all else in it is plain values, so
 * that the other process has exactly the config that is in use, whatever the file says by then.
 */
export type PlainConfig = Omit<LoadedConfig, 'clock'>;

/** What the daemon tells the process beside it. */
export type ToBeside =
  | { kind: 'config'; config: PlainConfig }
  | { kind: 'ask'; askId: number; question: Question; asked: unknown };

/** What that answers. */
export type FromBeside =
  | { kind: 'answer'; askId: number; value: unknown }
  | { kind: 'fault'; askId: number; error: CarriedError };
