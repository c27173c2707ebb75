import { WeatherUnreadable } from '../../adapters/weather/source.ts';
import { ActionRefused } from '../actions/action-context.ts';
import { NoWeather } from '../planning/plan-weather.ts';

/** An error as it goes from one process to another. */
export interface CarriedError {
  name: string;
  message: string;
  /** Of an act that is refused: what is wrong with what was asked. */
  part: string | null;
  stack: string;
}

/** Errors that whoever asks tells apart: they are themselves again on the other side. */
const KNOWN: Readonly<Record<string, (carried: CarriedError) => Error>> = {
  NoWeather: ({ message }) => new NoWeather(message),
  WeatherUnreadable: ({ message }) => new WeatherUnreadable(message),
  RangeError: ({ message }) => new RangeError(message),
  ActionRefused: ({ part, message }) => {
    const named = part ?? '';
    return new ActionRefused(named, message.slice(`${named}: `.length));
  },
};

/** An error as plain values. Pure. */
export function carried(error: unknown): CarriedError {
  if (!(error instanceof Error)) {
    return { name: 'Error', message: String(error), part: null, stack: '' };
  }
  const { name, message, stack = '' } = error;
  return { name, message, part: error instanceof ActionRefused ? error.part : null, stack };
}

/** The error again, with the stack of where it was thrown. Pure. */
export function thrownAgain(error: CarriedError): Error {
  const again = KNOWN[error.name]?.(error) ?? new Error(error.message);
  again.stack = error.stack;
  return again;
}
