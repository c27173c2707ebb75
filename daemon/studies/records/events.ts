import type { NoticeSeverity } from '../../../calc/growth/notice.ts';
import type { WarningCode } from '../../../calc/schedule/plan-warning.ts';
import { type AuditKind, auditEntriesBetween } from '../../site/store/audit-log.ts';
import type { Db } from '../../site/store/database.ts';
import { allHolds, personKeepOffs } from '../../site/store/holds-and-keep-offs.ts';
import { bedTrims, dayCallsOf, stageMoves } from '../../site/store/instructions.ts';
import type { StoredConfirmation, StoredPlan } from '../../site/store/plans.ts';
import { noticeTexts } from '../../words/notice-texts.ts';
import { type Reader, sayTo, stageWords } from '../../words/plan-words.ts';
import { warningTexts } from '../../words/warning-words.ts';
import { sayDayCall } from '../../words/weather-words.ts';
import type { Span } from './record-days.ts';

/** What happened beside the water: a closed list, in the order in which reports tell it. */
export const EVENT_KINDS = [
  'hold',
  'keep_off',
  'stage_move',
  'day_call',
  'trim',
  'wind_answered',
  'rotation_asked',
  'confirmed_despite',
  'notice',
  'field_fault',
  'away',
  'plan_failed',
] as const;

export type EventKind = (typeof EVENT_KINDS)[number];

export interface RecordEvent {
  atMs: number;
  /** When it was over; null: a moment, or nobody has ended it. */
  toMs: number | null;
  kind: EventKind;
  /** Bed ids; `all` for the whole site. */
  beds: 'all' | string[];
  who: string;
  /** How grave a notice is; null: it is no notice. */
  severity: NoticeSeverity | null;
  /** In the reader's language; what a person or the log wrote stands as it was written. */
  text: string;
}

/** Warnings that a person passed with open eyes by confirming the plan that has them. */
const PASSED: ReadonlySet<WarningCode> = new Set([
  'does_not_fit',
  'rotation_unplaced',
  'season_allowance',
  'wind_question',
  'night_water',
  'deep_refill_missed',
  'weather_stale',
]);

const STEP_EVENTS: Partial<Record<AuditKind, EventKind>> = {
  rotation_asked: 'rotation_asked',
  wind_answered: 'wind_answered',
  field_fault: 'field_fault',
  away: 'away',
  plan_failed: 'plan_failed',
};

type EventBesides = Omit<RecordEvent, 'severity'>;

/** What happened in a stretch of days, in order of time. */
export function recordEvents(
  db: Db,
  given: {
    span: Span;
    plans: readonly StoredPlan[];
    confirmations: readonly StoredConfirmation[];
    reader: Reader;
  },
): RecordEvent[] {
  const { span, plans, confirmations, reader } = given;
  const { show } = reader;
  const say = sayTo(reader);
  const events: EventBesides[] = [
    ...allHolds(db).map(
      ({ atMs, liftedMs, liftedBy, beds, who, why }): EventBesides => ({
        atMs,
        toMs: liftedMs,
        kind: 'hold',
        beds,
        who,
        text:
          liftedBy === null
            ? say('reports.event_text.stopped', { why })
            : say('reports.event_text.released', { why, who: liftedBy }),
      }),
    ),
    ...personKeepOffs(db).map((off): EventBesides => {
      const { why, labelIntervalS } = off;
      const text =
        labelIntervalS > 0
          ? say('reports.event_text.keep_off_label', {
              why,
              interval: show.duration(labelIntervalS),
            })
          : why;
      return {
        atMs: off.atMs,
        toMs: off.endedMs ?? off.untilMs,
        kind: 'keep_off',
        beds: off.beds,
        who: off.who,
        text:
          off.takenBackMs === null ? text : say('reports.event_text.keep_off_mistake', { text }),
      };
    }),
    ...stageMoves(db).map((move): EventBesides => {
      const { patch, why } = move;
      const stage = stageWords(move.stage, say);
      return {
        atMs: move.atMs,
        toMs: null,
        kind: 'stage_move',
        beds: [move.bedId],
        who: move.who,
        text:
          patch === null
            ? say('reports.event_text.stage', { stage, why })
            : say('reports.event_text.patch', { patch, stage, why }),
      };
    }),
    ...span.days
      .flatMap(({ siteDay }) => dayCallsOf(db, siteDay))
      .map(
        (call): EventBesides => ({
          atMs: call.atMs,
          toMs: null,
          kind: 'day_call',
          beds: 'all',
          who: call.who,
          text: sayDayCall(call, reader),
        }),
      ),
    ...bedTrims(db).map(
      (trim): EventBesides => ({
        atMs: trim.atMs,
        toMs: null,
        kind: 'trim',
        beds: [trim.bedId],
        who: trim.who,
        text: say('reports.event_text.trim', {
          pct: Math.round(100 * trim.trimFraction),
          why: trim.why,
        }),
      }),
    ),
    ...auditEntriesBetween(db, span.fromMs, span.toMs).flatMap(
      ({ atMs, kind, who, what }): EventBesides[] => {
        const event = STEP_EVENTS[kind];
        return event === undefined
          ? []
          : [{ atMs, toMs: null, kind: event, beds: 'all', who, text: what }];
      },
    ),
    ...passedWarnings(confirmations, reader),
  ];
  const touches = ({ atMs, toMs }: RecordEvent) =>
    atMs < span.toMs && (toMs ?? atMs) >= span.fromMs;
  return [
    ...events.map((event): RecordEvent => ({ ...event, severity: null })),
    ...noticesOf(plans, reader),
  ]
    .filter(touches)
    .toSorted((a, b) => a.atMs - b.atMs);
}

/** Each notice of a day once, as the first plan that had it tells it. */
function noticesOf(plans: readonly StoredPlan[], reader: Reader): RecordEvent[] {
  const told = new Set<string>();
  return plans.flatMap(({ plan }) =>
    noticeTexts(plan, reader).flatMap(({ code, severity, title, text }): RecordEvent[] => {
      const key = `${plan.siteDay} ${code}`;
      if (told.has(key)) return [];
      told.add(key);
      return [
        {
          atMs: plan.madeAtMs,
          toMs: null,
          kind: 'notice',
          beds: 'all',
          who: '',
          severity,
          text: sayTo(reader)('reports.event_text.notice', { title, text }),
        },
      ];
    }),
  );
}

/** Each warning that a person passed, once for each day and bed: revisions repeat what still holds. */
function passedWarnings(
  confirmations: readonly StoredConfirmation[],
  reader: Reader,
): EventBesides[] {
  const told = new Set<string>();
  return confirmations.flatMap(({ atMs, who, stored }) =>
    warningTexts(stored.plan, reader).flatMap(({ code, bedId, text }): EventBesides[] => {
      const key = JSON.stringify([stored.plan.siteDay, code, bedId]);
      if (!PASSED.has(code) || told.has(key)) return [];
      told.add(key);
      const beds = bedId === null ? 'all' : [bedId];
      return [{ atMs, toMs: null, kind: 'confirmed_despite', beds, who, text }];
    }),
  );
}
