import { WeatherUnreadable } from '../../../adapters/weather/source.ts';
import { ActionRefused } from '../../actions/action-context.ts';
import { NoWeather } from '../../planning/planning-context.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import type { Message } from '../../words/language.ts';
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
  | { kind: 'fault'; askId: number; error: WireError };

/** An error as it goes from one process to another. */
export interface WireError {
  name: string;
  message: string;
  /** Of an act that is refused: what is wrong with what was asked. */
  part: string | null;
  coded: ActionRefused['coded'];
  /** Of weather that is missing: what is to be told of it. */
  told: Message | string | null;
  stack: string;
}

/** Errors that whoever asks tells apart: they are themselves again on the other side. */
const KNOWN: Readonly<Record<string, (carried: WireError) => Error>> = {
  NoWeather: ({ message, told }) => new NoWeather(told ?? message),
  WeatherUnreadable: ({ message }) => new WeatherUnreadable(message),
  RangeError: ({ message }) => new RangeError(message),
  ActionRefused: ({ part, message, coded }) => {
    const named = part ?? '';
    return new ActionRefused(named, message.slice(`${named}: `.length), coded);
  },
};

/** An error as plain values. Pure. */
export function toWireError(error: unknown): WireError {
  const isRefused = error instanceof ActionRefused;
  const plain = {
    part: isRefused ? error.part : null,
    coded: isRefused ? error.coded : null,
    told: error instanceof NoWeather ? error.told : null,
  };
  if (!(error instanceof Error)) {
    return { name: 'Error', message: String(error), ...plain, stack: '' };
  }
  const { name, message, stack = '' } = error;
  return { name, message, ...plain, stack };
}

/** The error again, with the stack of where it was thrown. Pure. */
export function fromWireError(error: WireError): Error {
  const again = KNOWN[error.name]?.(error) ?? new Error(error.message);
  again.stack = error.stack;
  return again;
}
