import type { CheckRule, WeatherReading } from '../../adapters/weather/source.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';

const HOUR_MS = 3_600_000;

/** What a plan has to say of its sources: who is silent or too old, and what their checks refused. Pure. */
export function weatherNotes(reading: WeatherReading, nowMs: number): PlanWarning[] {
  const stale = (reading.standings ?? []).filter((one) => one.stale);
  return [
    ...stale.map(({ source, asOfMs, staleAfterH, fault }): PlanWarning => {
      const ageH = asOfMs === null ? null : (nowMs - asOfMs) / HOUR_MS;
      const facts = { source, weatherAsOfMs: asOfMs, ageH, staleAfterH, fault };
      return { code: 'weather_stale', bedId: null, ...facts };
    }),
    ...checkNotes(reading),
  ];
}

/** One line a check, with the first thing that it refused. */
function checkNotes({ problems }: WeatherReading): PlanWarning[] {
  const failed = problems.flatMap(({ rule, ...rest }) =>
    rule === undefined ? [] : [{ rule, ...rest }],
  );
  const rules = [...new Set(failed.map(({ rule }) => rule))];
  return rules.flatMap((rule: CheckRule): PlanWarning[] => {
    const of = failed.filter((one) => one.rule === rule);
    const [first] = of;
    if (first === undefined) return [];
    const { where, what, done } = first;
    return [{ code: 'weather_checked', bedId: null, rule, where, what, done, more: of.length - 1 }];
  });
}
