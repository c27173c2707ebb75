import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { NoticeSeverity } from '../../calc/growth/notice.ts';
import type { DayPlan, PlanNotice } from '../../calc/schedule/day-plan.ts';
import type { StoredAlert } from '../site/store/alerts.ts';
import type { StoredPlan } from '../site/store/plans.ts';
import { isMessage, type Say } from './language.ts';
import { bedName, type Reader, sayTo, wordedBefore } from './plan-words.ts';

/** Notices that say the same of several beds, in words. */
export interface NoticeText {
  code: PlanNotice['code'];
  severity: NoticeSeverity;
  /** "Frost, 04:00 to 07:00, all beds". */
  title: string;
  text: string;
  rule: string;
  /** What the rule saw: one line, or one for each bed where they differ. */
  saw: string[];
}

/** What notices are told from. */
type NoticedPlan = Pick<DayPlan, 'siteDay' | 'beds' | 'notices'>;

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
export function noticeTexts(plan: NoticedPlan, reader: Reader): NoticeText[] {
  const say = sayTo(reader);
  const groups = new Map<string, PlanNotice[]>();
  for (const notice of plan.notices) {
    const key = `${notice.code} ${notice.severity} ${notice.fromMs} ${notice.toMs}`;
    groups.set(key, [...(groups.get(key) ?? []), notice]);
  }
  return [...groups.values()].flatMap((group) => {
    const [first] = group;
    if (first === undefined) return [];
    const { code, severity } = first;
    const title = say('notice.title', {
      title: say(`notice.${code}`),
      from: timeOn(first.fromMs, plan, reader),
      to: timeOn(first.toMs, plan, reader),
      beds: bedsOf(group, plan, say),
    });
    return [
      {
        code,
        severity,
        title,
        text: sayNotice(first, say),
        rule: sayRule(first, reader),
        saw: sawOf(group, plan, reader),
      },
    ];
  });
}

/** What a notice asks a person to do. */
function sayNotice(notice: PlanNotice, say: Say): string {
  const before = wordedBefore(notice, 'text');
  if (before !== null) return before;
  const key = `notice.${notice.code}.${notice.severity}`;
  return isMessage(key) ? say(key) : say(`notice.${notice.code}`);
}

/** The rule that raised a notice, with its source, its figures in a person's units. */
export function sayRule(
  notice: Pick<PlanNotice, 'code' | 'inputs' | 'limits'>,
  reader: Pick<Reader, 'language' | 'show'>,
): string {
  const before = wordedBefore(notice, 'rule');
  if (before !== null) return before;
  const figures = { ...notice.inputs, ...notice.limits };
  const values = Object.entries(figures).map(([name, value]) => {
    const [suffix, write] = unitOf(name);
    const word = name.slice(0, name.length - suffix.length);
    return [word, typeof value === 'string' ? value : write(value, reader.show)] as const;
  });
  return sayTo(reader)(`rule.${notice.code}`, Object.fromEntries(values));
}

/** One input of a rule in a person's units: `lowC` and 1.2 give "low 1.2 °C" or "low 34 °F". */
export function sayInput(
  input: string,
  value: number | string,
  reader: Pick<Reader, 'language' | 'show'>,
): string {
  const say = sayTo(reader);
  const [suffix, write] = unitOf(input);
  const name = wordOf(`input.${input.slice(0, input.length - suffix.length)}`, say);
  const told =
    typeof value === 'string' ? wordOf(`value.${value}`, say) : write(value, reader.show);
  return say('input.said', { name, value: told });
}

/** The message of a name that was put together; a plan of before may have names that are gone. */
function wordOf(key: string, say: Say): string {
  return isMessage(key) ? say(key) : key.slice(key.indexOf('.') + 1).replaceAll('_', ' ');
}

function unitOf(name: string): readonly [string, (value: number, show: UnitDisplay) => string] {
  return UNITS.find(([end]) => name.endsWith(end)) ?? ['', plain];
}

function plain(value: number): string {
  return String(Number(value.toFixed(Math.abs(value) < 10 ? 2 : 1)) + 0);
}

function sawOf(group: readonly PlanNotice[], plan: NoticedPlan, reader: Reader): string[] {
  const lines = group.map((notice) => ({
    beds: bedsOf([notice], plan, sayTo(reader)),
    inputs: Object.entries(notice.inputs)
      .map(([name, value]) => sayInput(name, value, reader))
      .join(', '),
  }));
  const alike = new Set(lines.map((line) => line.inputs)).size <= 1;
  return alike
    ? lines.slice(0, 1).map((line) => line.inputs)
    : lines.map((line) => `${line.beds}: ${line.inputs}`);
}

function bedsOf(group: readonly PlanNotice[], plan: NoticedPlan, say: Say): string {
  const ids = new Set(group.flatMap((notice) => notice.bedIds));
  if (ids.size === 0 || ids.size === plan.beds.length) return say('notice.all_beds');
  return plan.beds
    .filter((bed) => ids.has(bed.bedId))
    .map((bed) => bedName(plan, bed.bedId))
    .join(', ');
}

/** The time, with the day where it is not the plan's. */
function timeOn(instantMs: number, plan: NoticedPlan, reader: Reader): string {
  const { clock } = reader;
  const day = clock.siteDayOf(instantMs);
  const at = clock.timeOf(instantMs);
  if (day === plan.siteDay) return at;
  return sayTo(reader)(day > plan.siteDay ? 'notice.tomorrow' : 'notice.yesterday', { at });
}

type PlanAlert = Omit<StoredAlert, 'newsId' | 'atMs'>;

const RANK: Readonly<Record<NoticeSeverity, number>> = { note: 0, warn: 1, danger: 2 };

/** What whoever listens hears of a new plan: that it waits, and which notices are new or worse. Pure. */
export function planAlerts(
  { cause, plan, digest }: StoredPlan,
  given: {
    /** The newest plan of the same day before it. */
    before: DayPlan | null;
    /** Why it was made, in words. */
    why: readonly string[];
    reader: Reader;
  },
): PlanAlert[] {
  const { before, why, reader } = given;
  const { siteDay, revision } = plan;
  const about = { siteDay, revision, digest };
  const cycles = plan.beds.reduce((sum, bed) => sum + bed.cycles.length, 0);
  const say = sayTo(reader);
  const waits = say('alert.plan_waits', {
    cause: cause === 'morning' ? 'morning' : 'other',
    revision,
    siteDay,
    cycles,
    beds: plan.beds.length,
    digest: digest.slice(0, 8),
  });
  const made: PlanAlert = {
    ...about,
    key: `plan ${siteDay} r${revision}`,
    kind: cause === 'morning' ? 'morning_plan' : 'plan_held',
    text: [waits, ...why].join(' '),
  };
  const risen = new Set(risenNotices(before, plan));
  const notices = noticeTexts({ ...plan, notices: [...risen] }, reader).map(
    ({ severity, title, text }, index): PlanAlert => ({
      ...about,
      key: `notice ${siteDay} r${revision} ${index + 1}`,
      kind: 'notice_risen',
      text: say('alert.notice', { title, severity: say(`severity.${severity}`), text }),
    }),
  );
  return [made, ...notices];
}

/** Notices of a plan that the one before did not have for a bed, or had as less grave. */
function risenNotices(before: DayPlan | null, after: DayPlan): DayPlan['notices'] {
  const rankBefore = (code: string, bedIds: readonly string[]) =>
    Math.max(
      -1,
      ...(before?.notices ?? [])
        .filter(
          (one) =>
            one.code === code &&
            (one.bedIds.length === 0 || bedIds.every((bedId) => one.bedIds.includes(bedId))),
        )
        .map((one) => RANK[one.severity]),
    );
  return after.notices.filter(
    (notice) =>
      notice.severity !== 'note' && RANK[notice.severity] > rankBefore(notice.code, notice.bedIds),
  );
}
