import { describe, expect, it } from 'vitest';
import { WeatherUnreadable } from '../../../../adapters/weather/source.ts';
import { ActionRefused, refuse } from '../../../../daemon/actions/action-context.ts';
import { NoWeather } from '../../../../daemon/planning/planning-context.ts';
import { fromWireError, toWireError } from '../../../../daemon/service/reckoner/wire.ts';

describe('an error that goes from one process to another', () => {
  it.each([
    new NoWeather('outlook: no weather'),
    new NoWeather({ key: 'no_weather', values: { source: 'outlook', hours: 2 } }),
    refuse('until', 'until_passed', { got: '05:00' }),
    new WeatherUnreadable('station.csv: there is no such file'),
    new ActionRefused('bed', 'no such bed (got green-99); the beds are green-1'),
    new RangeError('zone: no such zone'),
    new Error('something else'),
  ])('is itself again: $name', (error) => {
    const again = fromWireError(structuredClone(toWireError(error)));
    expect(again).toBeInstanceOf(error.constructor);
    expect(again.message).toBe(error.message);
    expect(again.stack).toBe(error.stack);
    const toldOf = (one: Error) => (one instanceof NoWeather ? one.told : null);
    const codedOf = (one: Error) => (one instanceof ActionRefused ? one.coded : null);
    expect(toldOf(again)).toEqual(toldOf(error));
    expect(codedOf(again)).toEqual(codedOf(error));
    expect(again instanceof ActionRefused ? again.part : null).toBe(
      error instanceof ActionRefused ? error.part : null,
    );
  });

  it('is told even where what was thrown is none', () => {
    expect(fromWireError(toWireError('a word')).message).toBe('a word');
  });
});
