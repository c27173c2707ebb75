import type { SiteClock } from '../../adapters/site-clock.ts';
import type { CheckRule, SourceStanding, WeatherReading } from '../../adapters/weather/source.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';

/** What a plan has to say of its sources: who is silent or too old, and what their checks refused. Pure. */
export function weatherNotes(
  reading: WeatherReading,
  { clock, nowMs }: { clock: SiteClock; nowMs: number },
): PlanWarning[] {
  const stale = (reading.standings ?? []).filter((one) => one.stale);
  return [
    ...stale.map((one): PlanWarning => {
      return { code: 'weather_stale', bedId: null, text: sayStale(one, { clock, nowMs }) };
    }),
    ...checkNotes(reading),
  ];
}

function sayStale(
  { source, asOfMs, staleAfterH, fault }: SourceStanding,
  { clock, nowMs }: { clock: SiteClock; nowMs: number },
): string {
  if (fault !== null) return `No weather from ${source}: ${fault}.`;
  if (asOfMs === null) return `No weather from ${source}.`;
  const ageH = (nowMs - asOfMs) / 3_600_000;
  const day =
    clock.siteDayOf(asOfMs) === clock.siteDayOf(nowMs) ? '' : `${clock.siteDayOf(asOfMs)} `;
  return `${source} is ${ageH.toFixed(1)} h old (of ${day}${clock.timeOf(asOfMs)}, over its ${staleAfterH} h): it is not taken for now or for later.`;
}

/** One line a check, with the first thing that it refused. */
function checkNotes({ problems }: WeatherReading): PlanWarning[] {
  const failed = problems.flatMap(({ rule, ...rest }) =>
    rule === undefined ? [] : [{ rule, ...rest }],
  );
  const rules = [...new Set(failed.map(({ rule }) => rule))];
  return rules.map((rule: CheckRule): PlanWarning => {
    const of = failed.filter((one) => one.rule === rule);
    const first = of[0];
    const more = of.length > 1 ? `, and ${of.length - 1} more` : '';
    return {
      code: 'weather_checked',
      bedId: null,
      text: `Weather check ${rule}: ${first?.where}: ${first?.what}; ${first?.done}${more}.`,
    };
  });
}
