import { WeatherUnreadable } from '../../../adapters/weather/source.ts';
import { NoWeather } from '../../planning/planning-context.ts';
import { storeRefusal } from '../../site/store/store-faults.ts';

/** What is told of a fault whose message already says where, what and what to do; null: of another. */
export function plainFault(error: unknown): string | null {
  if (error instanceof WeatherUnreadable || error instanceof NoWeather) return error.message;
  return storeRefusal(error);
}
