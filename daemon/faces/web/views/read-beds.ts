import type { BedPlan } from '../../../../calc/schedule/day-plan.ts';
import { covers } from '../../../site/store/holds-and-keep-offs.ts';
import { bedTrims } from '../../../site/store/instructions.ts';
import { sayDry, shortBand, type ToldDry } from '../../../words/dry-band-words.ts';
import { sayTimeToDry } from '../../../words/look-words.ts';
import { sayLowest } from '../../../words/plan-rows.ts';
import { type Reader, sayTo, stageWords } from '../../../words/plan-words.ts';
import { sayBedRisk } from '../../../words/risk-words.ts';
import { sayWarning } from '../../../words/warning-words.ts';
import type { DayLineView, Severity, TodayBed } from './today-view.ts';
import type { NewestPlan, ViewContext } from './view-context.ts';

/** A bed that is dry within this is in danger of losing seed. */
const SOON_MIN = 60;

/** The beds, first to dry first. */
export function readBeds(context: ViewContext, newest: NewestPlan, line: DayLineView): TodayBed[] {
  return newest.stored.plan.beds
    .map((bed) => readBed(context, newest, line, bed))
    .sort(
      (a, b) =>
        (a.dryAtMs ?? Infinity) - (b.dryAtMs ?? Infinity) ||
        b.minutesBelowDryLimit - a.minutesBelowDryLimit ||
        (a.id < b.id ? -1 : 1),
    );
}

function readBed(
  context: ViewContext,
  { stored, holds }: NewestPlan,
  line: DayLineView,
  bed: BedPlan,
): TodayBed {
  const { nowMs, now, reader } = context;
  const say = sayTo(reader);
  const { plan } = stored;
  const live = now?.beds.find((one) => one.bedId === bed.bedId) ?? null;
  const told: ToldDry = live ?? bed;
  const { dryAtMs } = told;
  const storeNowMm = live?.storeMm ?? bed.storeNowMm;
  const timeToDryMin =
    dryAtMs === null ? null : Math.max(0, Math.floor((dryAtMs - nowMs) / 60_000));
  const ahead = line.cycles.filter(
    (cycle) => cycle.bedId === bed.bedId && cycle.startMs >= nowMs && cycle.state !== 'withdrawn',
  );
  const nextCycleMs = ahead[0]?.startMs ?? null;
  const shortages = plan.shortages.filter((one) => one.bedId === bed.bedId);
  const severity = severityOf(bed, timeToDryMin, nextCycleMs, dryAtMs, shortages.length);
  return {
    id: bed.bedId,
    name: bed.name,
    stage: stageWords(bed.stage, say),
    stageName: bed.stage,
    timeToDryMin,
    dryAtMs,
    dryLine: sayTimeToDry(dryAtMs, nowMs, reader),
    dryBand: shortBand(told, nowMs, reader),
    drySentence: sayDry(told, nowMs, reader),
    riskLine: sayBedRisk(bed, plan, reader),
    storeNowMm,
    capacityMm: bed.capacityMm,
    reserveMm: bed.reserveMm,
    lossMm: bed.lossMm,
    rainMm: bed.rainMm,
    netMm: bed.netMm,
    percentOfLoss: bed.percentOfLoss,
    drainedMm: bed.drainedMm,
    cycles: bed.cycles.length,
    cyclesLeft: ahead.length,
    nextCycleMs,
    minutesBelowDryLimit: bed.minutesBelowDryLimit,
    lowestStoreMm: bed.lowestStoreMm,
    lowestAtMs: bed.lowestAtMs,
    held: holds.some((hold) => covers(hold, bed.bedId)),
    keptOff: line.keepOffs.some(
      (off) => off.bedId === bed.bedId && off.startMs <= nowMs && off.endMs > nowMs,
    ),
    trimPct: trimPctOf(context, bed.bedId),
    notes: plan.warnings
      .filter((one) => one.bedId === bed.bedId)
      .map((one) => sayWarning(one, plan, reader)),
    severity,
    words: wordsOf(bed, storeNowMm, nextCycleMs, reader),
  };
}

function trimPctOf({ db, config }: ViewContext, bedId: string): number {
  const configured = config.site.beds.find((one) => one.id === bedId)?.trimFraction ?? 1;
  const set = bedTrims(db).findLast((one) => one.bedId === bedId)?.trimFraction;
  return Math.round(100 * (set ?? configured));
}

function severityOf(
  bed: BedPlan,
  timeToDryMin: number | null,
  nextCycleMs: number | null,
  dryAtMs: number | null,
  shortages: number,
): Severity | null {
  if (timeToDryMin === 0 || bed.minutesBelowDryLimit > 0) return 'danger';
  const comesTooLate = dryAtMs !== null && (nextCycleMs === null || nextCycleMs > dryAtMs);
  if (shortages > 0 || comesTooLate) return 'warn';
  return timeToDryMin !== null && timeToDryMin <= SOON_MIN ? 'note' : null;
}

function wordsOf(
  bed: BedPlan,
  storeNowMm: number,
  nextCycleMs: number | null,
  reader: Reader,
): TodayBed['words'] {
  const { depth } = reader.show;
  const say = sayTo(reader);
  return {
    store: depth(Math.max(0, storeNowMm)),
    capacity: depth(bed.capacityMm),
    reserve: depth(bed.reserveMm),
    loss: depth(bed.lossMm),
    rain: depth(bed.rainMm),
    net: depth(bed.netMm),
    percentOfLoss: bed.percentOfLoss === null ? '-' : `${Math.round(bed.percentOfLoss)} %`,
    drained: depth(bed.drainedMm),
    lowest: sayLowest(bed, reader),
    next:
      nextCycleMs === null
        ? say('next_water.none')
        : say('next_water.at', { at: reader.clock.timeOf(nextCycleMs) }),
  };
}
