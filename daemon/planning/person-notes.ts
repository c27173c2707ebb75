import type { SiteClock } from '../../adapters/site-clock.ts';
import type { BedStanding } from '../../calc/growth/bed-standing.ts';
import { type StagePrompt, stagePrompts } from '../../calc/growth/stage-prompts.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import type { BedGermination } from '../../calc/schedule/day-plan.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { Site } from '../../calc/schedule/site.ts';
import { changesNothing } from '../../calc/sky/day-call.ts';
import { grouped } from '../grouped.ts';
import type { BedTrim } from '../store/bed-trims.ts';
import type { StoredDayCall } from '../store/day-calls.ts';
import type { StoredHandWater } from '../store/hand-water.ts';
import type { StoredLook } from '../store/looks.ts';
import { sownMsOf } from './seedbed-warmth.ts';
import { seenSigns } from './seen-signs.ts';

/** What persons have put down that a plan rests on, and what it asks them to look at. Pure. */
export function personNotes(input: {
  site: Site;
  standings: readonly BedStanding[];
  germination: ReadonlyMap<string, BedGermination>;
  call: StoredDayCall | null;
  trims?: readonly BedTrim[];
  handWater: readonly StoredHandWater[];
  looks: readonly StoredLook[];
  nowMs: number;
  clock: SiteClock;
}): PlanWarning[] {
  const { call, standings } = input;
  const called: PlanWarning[] =
    call === null || changesNothing(call)
      ? []
      : [
          {
            code: 'day_call',
            bedId: null,
            who: call.who,
            hotterK: call.hotterK,
            windFraction: call.windFraction,
            cloudierFraction: call.cloudierFraction,
          },
        ];
  return [
    ...called,
    ...trimNotes(input),
    ...standings.flatMap(patchNotes),
    ...promptNotes(input),
    ...handWaterNotes(input),
  ];
}

function trimNotes({ site, trims = [] }: Parameters<typeof personNotes>[0]): PlanWarning[] {
  return site.beds.flatMap((bed) => {
    const trim = trims.findLast((one) => one.bedId === bed.id);
    if (trim === undefined || trim.trimFraction === 1) return [];
    const { trimFraction, who, why } = trim;
    return [{ code: 'trim', bedId: bed.id, trimFraction, who, why }];
  });
}

function patchNotes({ bedId, stage, ruling, slowPatches }: BedStanding): PlanWarning[] {
  const [slowest] = slowPatches;
  if (slowest === undefined) return [];
  const { name: patch, shareFraction } = slowest;
  return [{ code: 'slow_patch', bedId, stage, ruling, patch, shareFraction }];
}

/** What there is to look at, once for all beds of which the same is said, in the order of the first. */
function promptNotes(input: Parameters<typeof personNotes>[0]): PlanWarning[] {
  const told = input.standings.flatMap((standing) =>
    promptsOf(standing, input).map((prompt) => ({ ...standing, prompt })),
  );
  return [
    ...grouped(told, ({ ruling, prompt }) => JSON.stringify([ruling, prompt])).values(),
  ].flatMap((alike): PlanWarning[] => {
    const [first] = alike;
    if (first === undefined) return [];
    const { ruling, prompt } = first;
    const bedIds = alike.map(({ bedId }) => bedId);
    return [{ code: 'stage_prompt', bedId: null, ruling, prompt, bedIds }];
  });
}

function promptsOf(
  { bedId, ruling, move, slowPatches }: BedStanding,
  input: Parameters<typeof personNotes>[0],
): StagePrompt[] {
  const { site, germination, nowMs, clock, looks } = input;
  const bed = site.beds.find((one) => one.id === bedId);
  if (bed === undefined) return [];
  return stagePrompts({
    stage: STAGES[ruling],
    nowMs,
    sownMs: sownMsOf(bed, clock),
    movedMs: (slowPatches[0]?.move ?? move)?.atMs ?? null,
    window: germination.get(bedId) ?? null,
    seen: seenSigns(looks, bedId, nowMs),
  }).filter((prompt) => prompt.look);
}

function handWaterNotes(input: Parameters<typeof personNotes>[0]): PlanWarning[] {
  const { handWater, clock, nowMs } = input;
  const today = handWater.filter((one) => clock.siteDayOf(one.startMs) === clock.siteDayOf(nowMs));
  return [...grouped(today, ({ bedId }) => bedId)].map(([bedId, own]): PlanWarning => {
    const given = own.map(({ grossMm, startMs, who }) => ({ grossMm, atMs: startMs, who }));
    return { code: 'hand_water', bedId, given };
  });
}
