import { weatherEstimate } from '../day-weather.ts';
import { measured, plain, type RecordTable } from './record-table.ts';
import type { TableContext } from './table-context.ts';

/** One row a day: the weather, and how much of it was measured. */
export function weatherByDay({ record, measures, zone }: TableContext): RecordTable {
  const { temp, speed, depth } = measures;
  return {
    file: 'weather-by-day.csv',
    title: 'Weather by day',
    about:
      'From measured hours where a source still has them, otherwise as the plan of that morning had it. Wind is the strongest hour, at 2 m above the turf. Reference ET is ASCE-EWRI 2005, short reference.',
    columns: [
      `site day ${zone}`,
      `high (${temp.unit})`,
      `low (${temp.unit})`,
      `wind, strongest hour (${speed.unit})`,
      `rain (${depth.unit})`,
      `reference ET (${depth.unit})`,
      'measured (h)',
      'foretold (h)',
      'stand-in (h)',
      'with a filled value (h)',
      'told by',
    ],
    rows: record.days.map(({ siteDay, weather }) => {
      if (weather === null) {
        const none = plain(null);
        return [siteDay, ...Array.from({ length: 9 }, () => none), 'nothing is known'];
      }
      const why = weatherEstimate(weather);
      const { observed, forecast, carried, usual } = weather.hoursByOrigin;
      return [
        siteDay,
        measured(weather.highC, temp, why),
        measured(weather.lowC, temp, why),
        measured(weather.windMaxMPerS, speed, why),
        measured(weather.rainMm, depth, why),
        measured(weather.referenceEtMm, depth, why),
        plain(observed),
        plain(forecast),
        plain(carried + usual),
        plain(weather.filledHours),
        weather.from === 'hours' ? 'the source' : "the morning's plan",
      ];
    }),
  };
}
