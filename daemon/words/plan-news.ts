import type { NoticeSeverity } from '../../calc/growth/notice.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { StoredNews } from '../store/news.ts';
import type { StoredPlan } from '../store/plans.ts';
import { noticeTexts } from './notice-texts.ts';
import type { Reader } from './plan-words.ts';

type PlanNews = Omit<StoredNews, 'newsId' | 'atMs'>;

const RANK: Readonly<Record<NoticeSeverity, number>> = { note: 0, warn: 1, danger: 2 };

/** What whoever listens hears of a new plan: that it waits, and which notices are new or worse. Pure. */
export function planNews(
  { cause, plan, digest }: StoredPlan,
  given: {
    /** The newest plan of the same day before it. */
    before: DayPlan | null;
    /** Why it was made, in words. */
    why: readonly string[];
    reader: Reader;
  },
): PlanNews[] {
  const { before, why, reader } = given;
  const { siteDay, revision } = plan;
  const about = { siteDay, revision, digest };
  const cycles = plan.beds.reduce((sum, bed) => sum + bed.cycles.length, 0);
  const name = cause === 'morning' ? 'The morning plan' : `Revision ${revision}`;
  const because = why.map((text) => ` ${text}`).join('');
  const made: PlanNews = {
    ...about,
    key: `plan ${siteDay} r${revision}`,
    kind: cause === 'morning' ? 'morning_plan' : 'plan_held',
    text: `${name} of ${siteDay} waits for a person: ${cycles === 1 ? '1 cycle' : `${cycles} cycles`} on ${plan.beds.length} beds, digest ${digest.slice(0, 8)}.${because}`,
  };
  const risen = new Set(risenNotices(before, plan));
  const notices = noticeTexts({ ...plan, notices: [...risen] }, reader).map(
    ({ severity, title, text }, index): PlanNews => ({
      ...about,
      key: `notice ${siteDay} r${revision} ${index + 1}`,
      kind: 'notice_risen',
      text: `${title} (${severity}): ${text}`,
    }),
  );
  return [made, ...notices];
}

/** Notices of a plan that the one before did not have for a bed, or had as less grave. */
export function risenNotices(before: DayPlan | null, after: DayPlan): DayPlan['notices'] {
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
