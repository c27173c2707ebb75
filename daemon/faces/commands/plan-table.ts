import type { DisplayUnits } from '../../../adapters/display-units.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { PlanStanding } from '../../site/gate/gate.ts';
import type { StoredPlan } from '../../site/store/plans.ts';
import { sayAtCommandLine as say } from '../../words/command-line.ts';
import { sayStanding } from '../../words/confirm-words.ts';
import { shortBand } from '../../words/dry-band-words.ts';
import { asItStands, leewayLines } from '../../words/leeway-words.ts';
import { type NoticeText, noticeTexts } from '../../words/notice-texts.ts';
import { bedHeading, bedRows, cycleHeading, cycleRows } from '../../words/plan-rows.ts';
import { type Reader, readerOf, sayTo } from '../../words/plan-words.ts';
import { sayPlanRisk } from '../../words/risk-words.ts';
import { germinationLines } from '../../words/stage-words.ts';
import { warningTexts } from '../../words/warning-words.ts';
import { weatherLines } from '../../words/weather-words.ts';
import { sayWorthLooking } from '../../words/worth-looking-words.ts';
import { foldedTable, foldedText } from './folded-table.ts';

/** The day's plan for a terminal: the state first, then beds worst first, cycles, warnings, notices. */
export function planTable(input: {
  stored: StoredPlan;
  standing: PlanStanding;
  clock: SiteClock;
  units: DisplayUnits;
  /** Columns of the terminal; left out: nobody reads it in one, and each row is one line. */
  width?: number | undefined;
}): string {
  const { stored, standing, clock, units, width } = input;
  const { digest } = stored;
  const reader = readerOf({ clock, units });
  const plan = asItStands(stored.plan, standing);
  const { show } = reader;
  const time = (ms: number | null) => (ms === null ? '-' : clock.timeOf(ms));
  const { weather } = plan;
  const cycles = cycleRows(plan, reader);
  const folded = (lines: readonly string[]) => lines.flatMap((text) => foldedText(text, width));
  const worth = sayWorthLooking(plan, reader);
  return [
    ...folded([
      say('plan.title', {
        site: plan.siteName,
        day: plan.siteDay,
        revision: plan.revision,
        digest: digest.slice(0, 8),
      }),
      sayStanding(standing, reader),
      say('plan.sky', {
        rise: time(plan.sunriseMs),
        set: time(plan.sunsetMs),
        low: show.temp(weather.lowC),
        high: show.temp(weather.highC),
        wind: show.speed(weather.windMaxMPerS),
        rain: show.depth(weather.rainMm),
        et: show.depth(weather.referenceEtMm),
      }),
      say('plan.weather', { source: weather.source }),
      ...weatherLines(plan, reader),
      '',
      say('plan.beds'),
    ]),
    foldedTable(bedHeading(sayTo(reader)), bedRows(plan, reader), width),
    ...folded([
      ...riskLines(plan, reader),
      ...germinationLines(plan, reader),
      ...(worth === null ? [] : [worth]),
      ...leewayLines(stored.plan, standing, reader),
    ]),
    '',
    say(cycles.length === 0 ? 'plan.no_cycles' : 'plan.cycles'),
    ...(cycles.length === 0 ? [] : [foldedTable(cycleHeading(sayTo(reader)), cycles, width)]),
    '',
    ...folded([
      ...warningTexts(plan, reader).map(({ text }) => `! ${text}`),
      ...noticeTexts(plan, reader).flatMap(noticeLines),
    ]),
  ].join('\n');
}

/** What the brackets beside a time to dry are, and what risk of dry beds the plan keeps. */
function riskLines(plan: DayPlan, reader: Reader): string[] {
  const isBanded = plan.beds.some((bed) => shortBand(bed, plan.startMs, reader) !== null);
  const risk = sayPlanRisk(plan, reader);
  return [...(isBanded ? [say('plan.band')] : []), ...(risk === null ? [] : [risk])];
}

function noticeLines({ severity, title, text, rule, saw }: NoticeText): string[] {
  return [
    `${severity.toUpperCase()}  ${title}`,
    `  ${text}`,
    `  ${say('plan.rule', { rule })}`,
    ...saw.map((one) => `  ${say('plan.saw', { saw: one })}`),
  ];
}
