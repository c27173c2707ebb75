import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { planChange } from '../../calc/schedule/plan-change.ts';
import type { Coded } from '../coded.ts';
import type { Standing } from '../site/gate/confirmed-plan.ts';
import type { PlanStanding } from '../site/gate/gate.ts';
import type { Refusal } from '../site/gate/judge-confirm.ts';
import type { StopForDoubt } from '../site/gate/plan-doubts.ts';
import type { SiteChange, SiteFigure } from '../site/gate/site-changes.ts';
import { cautionsFor } from '../site/gate/valid-confirm.ts';
import type { StoredPlan } from '../site/store/plans.ts';
import { type Say, sayNamed } from './language.ts';
import { type Reader, sayTo } from './plan-words.ts';
import { sayCoded } from './told.ts';

/** A plan's standing in one line that cannot be misread. */
export function sayStanding(standing: PlanStanding, reader: Reader): string {
  const say = sayTo(reader);
  if (standing.kind === 'held') return say('standing.held');
  const { kind, who, atMs } = standing;
  const line = say(`standing.${kind}`, { who, at: reader.clock.timeOf(atMs) });
  return kind === 'confirmed' ? withStopped(line, standing.heldBedIds, say) : line;
}

/** A line about a plan in force, with the beds whose water was stopped since. */
export function withStopped(line: string, bedIds: readonly string[], say: Say): string {
  if (bedIds.length === 0) return line;
  return `${line} ${say('standing.stopped_since', { beds: bedIds.join(', ') })}`;
}

/** Why a plan was made, in one sentence. */
export function sayCause(
  { cause, plan }: Pick<StoredPlan, 'cause' | 'plan'>,
  reader: Reader,
): string {
  return sayTo(reader)(`plan_cause.${cause}`, { at: reader.clock.timeOf(plan.madeAtMs) });
}

/** Why a confirm is refused, and what to do. */
export function sayRefusal(refusal: Refusal, reader: Reader): string {
  const { code, facts = {}, changes = [] } = refusal;
  const told = { ...facts, code, changes: sayChanges(changes, reader) };
  return sayCoded('confirm_refused', told, reader);
}

/** What is wrong with a confirm or a plan as the store has it. */
export function sayAltered(fault: Coded, reader: Reader): string {
  return sayCoded('altered', fault, reader);
}

/** Why nothing of a confirm may run. */
export function sayNothingStands(
  standing: Extract<Standing, { confirmed: null }>,
  reader: Reader,
): string {
  if (standing.because === 'held') return sayTo(reader)('nothing_stands.held');
  return standing.because === 'site_changed'
    ? sayChanges(standing.changes, reader)
    : sayAltered(standing.fault, reader);
}

const MOST_CHANGES_SAID = 4;

/** What has changed at a site since a plan was made for it: the first few changes in one text. */
export function sayChanges(changes: readonly SiteChange[], reader: Reader): string {
  const more = changes.length - MOST_CHANGES_SAID;
  const said = changes.slice(0, MOST_CHANGES_SAID).map((change) => sayChange(change, reader));
  return [...said, ...(more > 0 ? [sayTo(reader)('site_change.more', { more })] : [])].join(', ');
}

function sayChange({ what, figures }: SiteChange, reader: Reader): string {
  if (figures === undefined) return sayCoded('site_change', what, reader);
  const say = sayTo(reader);
  const said = figures.map((figure) => sayFigure(figure, reader)).join(say('site_change.and'));
  return sayCoded('site_change', { ...what, figures: said }, reader);
}

function sayFigure({ figure, was, is }: SiteFigure, reader: Reader): string {
  const say = sayTo(reader);
  const { rate, flow } = reader.show;
  const write = {
    rate,
    flow,
    rotation: (s: number) => say('site_change.rotation', { s: Number(s.toFixed(3)) }),
  }[figure];
  const [now, before] = [write(is), write(was)];
  // What a person's rounding hides is a change all the same.
  if (now === before) return say('site_change.slightly', { now });
  return say('site_change.figure', { now, before });
}

/** A caution that a confirm asks for, in words. */
export function sayCaution(code: string, say: Say): string {
  return sayNamed(say, `confirm_caution.${code}`) ?? code;
}

/** The cautions that a confirm of this plan needs, in words. */
export function cautionTexts(
  plan: Pick<DayPlan, 'weather'>,
  say: Say,
): { code: string; text: string }[] {
  return cautionsFor(plan).map(({ code }) => ({ code, text: sayCaution(code, say) }));
}

/** What a plan changes against the one before it, one line a bed; one line when it is nothing. */
export function changeLines(
  before: DayPlan,
  after: DayPlan,
  given: { fromMs: number; reader: Pick<Reader, 'language' | 'show'> },
): string[] {
  const { fromMs, reader } = given;
  const { depth } = reader.show;
  const say = sayTo(reader);
  const changes = planChange(before, after, fromMs);
  if (changes.length === 0) return [say('plan_change.nothing')];
  return changes.map(({ name, cyclesAfter, cyclesBefore, netMmAfter, netMmBefore, moved }) =>
    say('plan_change.bed', {
      bed: name,
      cycles: cyclesAfter,
      cyclesBefore,
      net: depth(netMmAfter),
      netBefore: depth(netMmBefore),
      moved,
    }),
  );
}

/** Minutes in daylight for which a bed is expected dry, before a change and after it. */
interface DryBed {
  name: string;
  /** Null: there was no plan before. */
  beforeMin: number | null;
  afterMin: number;
}

/**
 * The harm of a change, bed by bed, before anything else that it does: who will be dry for how long,
 * those that lose most first. One line when nobody is.
 */
export function dryLines(beds: readonly DryBed[], say: Say): string[] {
  const dry = beds
    .filter(({ beforeMin, afterMin }) => afterMin > 0 || (beforeMin ?? 0) > 0)
    .toSorted((a, b) => gainOf(b) - gainOf(a) || b.afterMin - a.afterMin);
  if (dry.length === 0) return [say('dry.none')];
  return dry.map(({ name: bed, beforeMin, afterMin: minutes }) => {
    const was =
      beforeMin === null || beforeMin === minutes ? '' : say('dry.before', { minutes: beforeMin });
    return minutes > 0 ? say('dry.for', { bed, minutes, was }) : say('dry.no_more', { bed, was });
  });
}

function gainOf({ beforeMin, afterMin }: DryBed): number {
  return afterMin - (beforeMin ?? 0);
}

/** Why the daemon stopped water by itself. */
export function sayStopWhy(why: StopForDoubt['why'], reader: Reader): string {
  const say = sayTo(reader);
  return 'altered' in why
    ? say('stop_why.altered', { what: sayAltered(why.altered, reader) })
    : say('stop_why.site_changed', { what: sayChanges(why.changes, reader) });
}
