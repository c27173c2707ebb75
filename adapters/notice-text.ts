import type { NoticeCode, NoticeSeverity } from '../calc/growth/notice.ts';
import type { DayPlan, PlanNotice } from '../calc/schedule/day-plan.ts';
import type { UnitDisplay } from './display-units.ts';
import type { SiteClock } from './site-clock.ts';

/** Notices that say the same of several beds, in words. */
export interface NoticeText {
  severity: NoticeSeverity;
  /** "Frost, 04:00 to 07:00, all beds". */
  title: string;
  text: string;
  rule: string;
  /** What the rule saw: one line, or one for each bed where they differ. */
  saw: string[];
}

const TITLES: Record<NoticeCode, string> = {
  heat: 'Heat',
  frost: 'Frost',
  wind: 'Wind',
  heavy_rain: 'Heavy rain',
  pythium_14_hours: 'Pythium weather, 14 humid hours',
  pythium_9_hours: 'Pythium weather, 9 humid hours',
  damping_off: 'Damping-off weather',
  irrigation_salinity: 'Salt in the water',
  reclaimed_water: 'Reclaimed water outside its hours',
  too_little_water: 'Less water than loss',
  too_much_water: 'More water than loss',
};

/** The ends of names that carry a unit, longest first, and how a number of it is written. */
const UNITS: readonly (readonly [
  suffix: string,
  say: (value: number, show: UnitDisplay) => string,
])[] = [
  ['MmPerH', (value, show) => show.rate(value)],
  ['DSPerM', (value) => `${plain(value)} dS/m`],
  ['MPerS', (value, show) => show.speed(value)],
  ['Pct', (value) => `${plain(value)} %`],
  ['Mm', (value, show) => show.depth(value)],
  ['C', (value, show) => show.temp(value)],
];

/** The plan's notices for people: those that differ only in their bed are drawn together. */
export function noticeTexts(
  plan: DayPlan,
  { clock, show }: { clock: SiteClock; show: UnitDisplay },
): NoticeText[] {
  const groups = new Map<string, PlanNotice[]>();
  for (const notice of plan.notices) {
    const key = `${notice.code} ${notice.severity} ${notice.fromMs} ${notice.toMs}`;
    groups.set(key, [...(groups.get(key) ?? []), notice]);
  }
  return [...groups.values()].flatMap((group) => {
    const [first] = group;
    if (first === undefined) return [];
    const span = `${timeOn(first.fromMs, plan, clock)} to ${timeOn(first.toMs, plan, clock)}`;
    const { severity, text, rule } = first;
    const title = `${TITLES[first.code]}, ${span}, ${bedsOf(group, plan)}`;
    return [{ severity, title, text, rule: sayRule(rule, show), saw: sawOf(group, plan, show) }];
  });
}

/** A rule says its figures as they were published, in SI; who thinks in US units reads them so. */
export function sayRule(rule: string, show: UnitDisplay): string {
  if (show.units === 'metric') return rule;
  return rule
    .replace(/(-?\d+(?:\.\d+)?) °C/g, (_, tempC) => show.temp(Number(tempC)))
    .replace(/(\d+(?:\.\d+)?) m\/s/g, (_, speedMPerS) => show.speed(Number(speedMPerS)))
    .replace(/(\d+(?:\.\d+)?) mm\b/g, (_, depthMm) => show.depth(Number(depthMm)));
}

/** One input of a rule in a person's units: `lowC` and 1.2 give "low 1.2 °C" or "low 34 °F". */
export function sayInput(name: string, value: number | string, show: UnitDisplay): string {
  const [suffix = '', say = plain] = UNITS.find(([end]) => name.endsWith(end)) ?? [];
  const words = name
    .slice(0, name.length - suffix.length)
    .replace(/([a-z\d])([A-Z])/g, '$1 $2')
    .toLowerCase();
  return `${words} ${typeof value === 'string' ? value.replaceAll('_', ' ') : say(value, show)}`;
}

function plain(value: number): string {
  return String(Number(value.toFixed(Math.abs(value) < 10 ? 2 : 1)) + 0);
}

function sawOf(group: readonly PlanNotice[], plan: DayPlan, show: UnitDisplay): string[] {
  const lines = group.map((notice) => ({
    beds: bedsOf([notice], plan),
    inputs: Object.entries(notice.inputs)
      .map(([name, value]) => sayInput(name, value, show))
      .join(', '),
  }));
  const alike = new Set(lines.map((line) => line.inputs)).size <= 1;
  return alike
    ? lines.slice(0, 1).map((line) => line.inputs)
    : lines.map((line) => `${line.beds}: ${line.inputs}`);
}

function bedsOf(group: readonly PlanNotice[], plan: DayPlan): string {
  const ids = new Set(group.flatMap((notice) => notice.bedIds));
  if (ids.size === 0 || ids.size === plan.beds.length) return 'all beds';
  return plan.beds
    .filter((bed) => ids.has(bed.bedId))
    .map((bed) => bed.name)
    .join(', ');
}

/** The time, with the day where it is not the plan's. */
function timeOn(instantMs: number, plan: DayPlan, clock: SiteClock): string {
  const day = clock.siteDayOf(instantMs);
  const time = clock.timeOf(instantMs);
  if (day === plan.siteDay) return time;
  return `${time} ${day > plan.siteDay ? 'tomorrow' : 'yesterday'}`;
}
