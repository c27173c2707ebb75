import type { SiteClock } from '../../../../adapters/site-clock.ts';
import { stagePrompts } from '../../../../calc/growth/stage-moves.ts';
import { nextStage, previousStage, STAGE_NAMES, STAGES } from '../../../../calc/growth/stages.ts';
import type { BedPlan } from '../../../../calc/schedule/day-plan.ts';
import type { Bed, BedSand } from '../../../../calc/schedule/site.ts';
import { seenSigns, standingsOf } from '../../../planning/person-records.ts';
import { sownMsOf } from '../../../planning/seeding.ts';
import { type AuditEntry, lastAuditEntries } from '../../../site/store/audit-log.ts';
import { storeVersion } from '../../../site/store/database.ts';
import { stageMoves } from '../../../site/store/instructions.ts';
import { everyLook } from '../../../site/store/looks.ts';
import { saySign } from '../../../words/ground-words.ts';
import type { Say } from '../../../words/language.ts';
import { saySeen } from '../../../words/look-words.ts';
import { type Reader, sayTo, stageWords } from '../../../words/plan-words.ts';
import { sayGermination, sayStagePrompt } from '../../../words/stage-words.ts';
import type { BedSeries, BedView, LogRow, LookPoint, StageView } from './bed-view.ts';
import { readBeds } from './read-beds.ts';
import { readLine } from './read-line.ts';
import { planHead, readNewest } from './read-today.ts';
import { bandSeries } from './store-band.ts';
import type { DayLineView, TodayBed } from './today-view.ts';
import type { NewestPlan, ViewContext } from './view-context.ts';

/** Lines of the log that are searched for a bed's own. */
const LOG_LINES = 400;
const MOST_LOG_ROWS = 40;

/** One bed's page, or null when the newest plan has no such bed. */
export function readBedView(context: ViewContext, bedId: string): BedView | null {
  return readBedViews(context, (bed) => bed.id === bedId)[0] ?? null;
}

/** The pages of those beds that are asked for and that the newest plan has. */
export function readBedViews(
  context: ViewContext,
  isAsked: (bed: Bed) => boolean = () => true,
): BedView[] {
  const asked = context.config.site.beds.filter(isAsked);
  const newest = readNewest(context);
  if (newest === null || asked.length === 0) return [];
  // What all beds share is worked out once.
  const line = readLine(context, newest);
  const day = { newest, line, beds: readBeds(context, newest, line) };
  return asked.flatMap((bed) => bedView(context, day, bed) ?? []);
}

/** The newest plan as the beds share it. */
interface SharedDay {
  newest: NewestPlan;
  line: DayLineView;
  beds: TodayBed[];
}

function bedView(
  context: ViewContext,
  { newest, line, beds }: SharedDay,
  configured: Bed,
): BedView | null {
  const { db, config, nowMs, reader } = context;
  const { site } = config;
  const say = sayTo(reader);
  const bedId = configured.id;
  const bed = beds.find((one) => one.id === bedId);
  const planned = newest.stored.plan.beds.find((one) => one.bedId === bedId);
  if (bed === undefined || planned === undefined) return null;
  const { show } = reader;
  const { germination } = planned;
  return {
    version: storeVersion(db),
    nowMs,
    plan: planHead(newest.stored),
    bed,
    areaM2: configured.areaM2,
    seededOn: configured.seededOn,
    stations: site.stations
      .filter((station) => station.bedId === bedId)
      .map(({ id, flowLPerMin, precipitationRateMmPerH, rotationS, rateMeasured }) => ({
        id,
        flowLPerMin,
        precipitationRateMmPerH,
        rotationS,
        rateMeasured,
        line: say('station.line', {
          id,
          rate: show.rate(precipitationRateMmPerH),
          isMeasured: rateMeasured ? 'yes' : 'no',
          flow: show.flow(flowLPerMin),
          rotation: show.duration(rotationS),
          day: dayOf(planned, id, reader),
        }),
      })),
    series: seriesOf(context, newest, bedId),
    cycles: line.cycles.filter((cycle) => cycle.bedId === bedId),
    keepOffs: line.keepOffs.filter((off) => off.bedId === bedId),
    looks: readLooks(context, bedId, bed.capacityMm),
    sand: {
      name: configured.sand.name,
      assumed: configured.sand.basis === 'class_default',
      lines: sandLines(configured.sand, bed.words, say),
    },
    germination:
      germination === null
        ? null
        : {
            earliestMs: germination.earliestMs,
            latestMs: germination.latestMs,
            line: sayGermination(germination, nowMs, reader),
          },
    stage: stageView(context, configured, newest),
    log: lastAuditEntries(db, LOG_LINES)
      .filter(({ what }) => what.includes(configured.name) || what.split(/[\s:,]+/).includes(bedId))
      .slice(-MOST_LOG_ROWS)
      .map((step) => logRow(step, config.clock, say)),
  };
}

/** What a station gives to its part in the plan, told after its rate. */
function dayOf({ stations = [] }: BedPlan, id: string, reader: Reader): string {
  const day = stations.find((one) => one.stationId === id);
  if (day === undefined) return '';
  const { show } = reader;
  const say = sayTo(reader);
  return say('station.day', {
    duration: show.duration(day.runS),
    net: show.depth(day.netMm),
    part:
      day.percentOfLoss === null
        ? ''
        : say('station.of_loss', { pct: Math.round(day.percentOfLoss) }),
    dryMin: day.minutesBelowDryLimit,
  });
}

function seriesOf({ now }: ViewContext, { stored }: NewestPlan, bedId: string): BedSeries {
  const planned = stored.plan.beds.find((one) => one.bedId === bedId);
  const live = now?.beds.find((one) => one.bedId === bedId);
  return {
    startMs: planned?.expectedStore.startMs ?? stored.plan.startMs,
    stepMin: planned?.expectedStore.stepMin ?? 5,
    storeMm: planned?.expectedStore.storeMm ?? [],
    band: planned === undefined ? null : bandSeries(planned.expectedStore),
    capacityMm: planned?.capacityMm ?? 0,
    reserveMm: planned?.reserveMm ?? 0,
    dryLimitMm: 0,
    hourStartMs: live?.hourStartMs ?? [],
    lossMm: live?.lossMm ?? [],
    rainMm: live?.rainMm ?? [],
  };
}

function sandLines(
  { name, basis, className }: BedSand,
  { capacity, reserve }: TodayBed['words'],
  say: Say,
): string[] {
  return [
    say(`sand_store.${basis}`, { sand: name, standIn: className.replaceAll('_', ' ') }),
    say('sand_store.holds', { capacity, reserve }),
  ];
}

function stageView(
  { db, config, nowMs, reader }: ViewContext,
  bed: Bed,
  { stored }: NewestPlan,
): StageView {
  const { clock } = config;
  const say = sayTo(reader);
  const standing = standingsOf(config.site, stageMoves(db)).find((one) => one.bedId === bed.id);
  const stage = standing?.stage ?? bed.stage;
  const ruling = standing?.ruling ?? stage;
  const move = standing?.move ?? null;
  const window = stored.plan.beds.find((one) => one.bedId === bed.id)?.germination ?? null;
  const day = (instantMs: number) => clock.isoOf(instantMs).slice(0, 16).replace('T', ' ');
  return {
    stage,
    ruling,
    sinceMs: move?.atMs ?? null,
    by: move?.who ?? null,
    sinceLine:
      move === null
        ? say('stage_since.config')
        : say('stage_since.moved', { since: day(move.atMs), who: move.who, why: move.why }),
    stages: [...STAGE_NAMES],
    next: nextStage(stage),
    previous: previousStage(stage),
    signs: STAGES[ruling].movesOn.map((sign) => saySign(sign, reader)),
    slowPatches: (standing?.slowPatches ?? []).map((patch) => ({
      name: patch.name,
      shareFraction: patch.shareFraction,
      stage: patch.stage,
      line: say('slow_patch.line', {
        patch:
          patch.shareFraction === null
            ? patch.name
            : say('slow_patch.share', {
                patch: patch.name,
                pct: Math.round(100 * patch.shareFraction),
              }),
        stage: stageWords(patch.stage, say),
      }),
    })),
    prompts: stagePrompts({
      stage: STAGES[ruling],
      nowMs,
      sownMs: sownMsOf(bed, clock),
      movedMs: (standing?.slowPatches[0]?.move ?? move)?.atMs ?? null,
      window,
      seen: seenSigns(everyLook(db), bed.id, nowMs),
    }).map((prompt) => sayStagePrompt(prompt, reader)),
  };
}

/** Looks of the last days that were not taken back, the newest first. */
const LOOKS_SHOWN_MS = 3 * 24 * 3_600_000;

/** What persons saw on a bed of late, with the store that a probe's reading stands for. */
function readLooks(context: ViewContext, bedId: string, capacityMm: number): LookPoint[] {
  const { db, config, nowMs, reader } = context;
  const say = sayTo(reader);
  return everyLook(db)
    .filter((one) => one.bedId === bedId && one.undoneMs === null)
    .filter((one) => one.seenMs > nowMs - LOOKS_SHOWN_MS)
    .toReversed()
    .map((one): LookPoint => {
      const leftFraction = one.expected?.probeLeftFraction ?? null;
      return {
        atMs: one.seenMs,
        who: one.who,
        kind: one.surface ?? (one.probeFraction === null ? 'note' : 'probe'),
        storeMm: leftFraction === null ? null : leftFraction * capacityMm,
        line: say('look.line', {
          at: `${config.clock.isoOf(one.seenMs).slice(0, 10)} ${config.clock.timeOf(one.seenMs)}`,
          who: one.who,
          seen: saySeen(one, reader),
          part:
            leftFraction === null
              ? ''
              : say('look.of_the_store', { part: reader.show.fraction(leftFraction) }),
        }),
      };
    });
}

/** A step of the log for the page. */
export function logRow(step: AuditEntry, clock: SiteClock, say: Say): LogRow {
  const { stepId, atMs, kind, who, siteDay, revision, what } = step;
  const at = clock.isoOf(atMs).slice(0, 16).replace('T', ' ');
  const done = say(`step.${kind}`);
  const about = revision === null ? '' : say('step_line.plan', { revision });
  const line = say('step_line', { at, done, about, who, what });
  return { stepId, atMs, kind, done, who, siteDay, revision, what, line };
}
