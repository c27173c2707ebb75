import type { WarningCode } from '../../../calc/schedule/plan-warning.ts';
import { type AuditKind, auditEntriesBetween } from '../../site/store/audit-log.ts';
import type { Db } from '../../site/store/database.ts';
import { allHolds, personKeepOffs } from '../../site/store/holds-and-keep-offs.ts';
import { bedTrims, dayCallsOf, stageMoves } from '../../site/store/instructions.ts';
import type { StoredConfirmation, StoredPlan } from '../../site/store/plans.ts';
import { noticeTexts } from '../../words/notice-texts.ts';
import type { Reader } from '../../words/plan-words.ts';
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
  const events: RecordEvent[] = [
    ...allHolds(db).map(
      (hold): RecordEvent => ({
        atMs: hold.atMs,
        toMs: hold.liftedMs,
        kind: 'hold',
        beds: hold.beds,
        who: hold.who,
        text: `${hold.why}${hold.liftedBy === null ? '; not lifted yet' : `; lifted by a confirm of ${hold.liftedBy}`}`,
      }),
    ),
    ...personKeepOffs(db).map((off): RecordEvent => {
      const back = off.takenBackMs === null ? '' : '; taken back as put on by mistake';
      const label =
        off.labelIntervalS > 0 ? `; label interval ${show.duration(off.labelIntervalS)}` : '';
      return {
        atMs: off.atMs,
        toMs: off.endedMs ?? off.untilMs,
        kind: 'keep_off',
        beds: off.beds,
        who: off.who,
        text: `${off.why}${label}${back}`,
      };
    }),
    ...stageMoves(db).map((move): RecordEvent => {
      const patch = move.patch === null ? '' : ` (patch ${move.patch})`;
      return {
        atMs: move.atMs,
        toMs: null,
        kind: 'stage_move',
        beds: [move.bedId],
        who: move.who,
        text: `to ${move.stage.replaceAll('_', ' ')}${patch}: ${move.why}`,
      };
    }),
    ...span.days
      .flatMap(({ siteDay }) => dayCallsOf(db, siteDay))
      .map(
        (call): RecordEvent => ({
          atMs: call.atMs,
          toMs: null,
          kind: 'day_call',
          beds: 'all',
          who: call.who,
          text: sayDayCall(call, reader),
        }),
      ),
    ...bedTrims(db).map(
      (trim): RecordEvent => ({
        atMs: trim.atMs,
        toMs: null,
        kind: 'trim',
        beds: [trim.bedId],
        who: trim.who,
        text: `dose x ${trim.trimFraction.toFixed(2)}: ${trim.why}`,
      }),
    ),
    ...auditEntriesBetween(db, span.fromMs, span.toMs).flatMap(
      ({ atMs, kind, who, what }): RecordEvent[] => {
        const event = STEP_EVENTS[kind];
        return event === undefined
          ? []
          : [{ atMs, toMs: null, kind: event, beds: 'all', who, text: what }];
      },
    ),
    ...passedWarnings(confirmations, reader),
    ...noticesOf(plans, reader),
  ];
  const touches = ({ atMs, toMs }: RecordEvent) =>
    atMs < span.toMs && (toMs ?? atMs) >= span.fromMs;
  return events.filter(touches).toSorted((a, b) => a.atMs - b.atMs);
}

/** Each notice of a day once, as the first plan that had it tells it. */
function noticesOf(plans: readonly StoredPlan[], reader: Reader): RecordEvent[] {
  const told = new Set<string>();
  return plans.flatMap(({ plan }) =>
    noticeTexts(plan, reader).flatMap(({ severity, title, text }): RecordEvent[] => {
      const key = `${plan.siteDay} ${title.split(',')[0]}`;
      if (told.has(key)) return [];
      told.add(key);
      return [
        {
          atMs: plan.madeAtMs,
          toMs: null,
          kind: 'notice',
          beds: 'all',
          who: `${severity}`,
          text: `${title}: ${text}`,
        },
      ];
    }),
  );
}

/** Each warning that a person passed, once for each day and bed: revisions repeat what still holds. */
function passedWarnings(
  confirmations: readonly StoredConfirmation[],
  reader: Reader,
): RecordEvent[] {
  const told = new Set<string>();
  return confirmations.flatMap(({ atMs, who, stored }) =>
    warningTexts(stored.plan, reader).flatMap(({ code, bedId, text }): RecordEvent[] => {
      const key = JSON.stringify([stored.plan.siteDay, code, bedId]);
      if (!PASSED.has(code) || told.has(key)) return [];
      told.add(key);
      const beds = bedId === null ? 'all' : [bedId];
      return [{ atMs, toMs: null, kind: 'confirmed_despite', beds, who, text }];
    }),
  );
}
