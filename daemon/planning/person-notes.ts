import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { BedStanding } from '../../calc/growth/bed-standing.ts';
import { stagePrompts } from '../../calc/growth/stage-prompts.ts';
import { STAGES } from '../../calc/growth/stages.ts';
import type { BedGermination } from '../../calc/schedule/day-plan.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { Site } from '../../calc/schedule/site.ts';
import { changesNothing } from '../../calc/sky/day-call.ts';
import type { BedTrim } from '../store/bed-trims.ts';
import type { StoredDayCall } from '../store/day-calls.ts';
import type { StoredHandWater } from '../store/hand-water.ts';
import type { StoredLook } from '../store/looks.ts';
import { bedsAlike, type SaidOfBed } from '../words/beds-alike.ts';
import { sayDayCall } from '../words/say-day-call.ts';
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
  show: UnitDisplay;
}): PlanWarning[] {
  const { call, standings, show } = input;
  const called: PlanWarning[] =
    call === null || changesNothing(call)
      ? []
      : [
          {
            code: 'day_call',
            bedId: null,
            text: `Day call by ${call.who}: ${sayDayCall(call, show.units)}.`,
          },
        ];
  return [
    ...called,
    ...trimNotes(input),
    ...standings.flatMap((standing) => patchNotes(standing, input.site)),
    ...bedsAlike(standings.flatMap((standing) => promptsOf(standing, input))).map((text) => ({
      code: 'stage_prompt' as const,
      bedId: null,
      text,
    })),
    ...handWaterNotes(input),
  ];
}

function trimNotes({ site, trims = [] }: Parameters<typeof personNotes>[0]): PlanWarning[] {
  return site.beds.flatMap((bed) => {
    const trim = trims.findLast((one) => one.bedId === bed.id);
    if (trim === undefined || trim.trimFraction === 1) return [];
    const pct = Math.round(100 * trim.trimFraction);
    const text = `${bed.name} is watered at ${pct} % of what is worked out: ${trim.who} set it so (${trim.why}).`;
    return [{ code: 'trim', bedId: bed.id, text }];
  });
}

function patchNotes({ bedId, stage, ruling, slowPatches }: BedStanding, site: Site): PlanWarning[] {
  const [slowest] = slowPatches;
  if (slowest === undefined) return [];
  const share =
    slowest.shareFraction === null
      ? ''
      : ` (${Math.round(100 * slowest.shareFraction)} % of the bed)`;
  return [
    {
      code: 'slow_patch',
      bedId,
      text: `${nameOf(site, bedId)} is watered as ${words(ruling)}: its patch ${slowest.name}${share} stands there, the rest at ${words(stage)}. The younger part rules dose, depth and loss.`,
    },
  ];
}

function promptsOf(
  { bedId, ruling, move, slowPatches }: BedStanding,
  input: Parameters<typeof personNotes>[0],
): SaidOfBed[] {
  const { site, germination, nowMs, clock, looks } = input;
  const bed = site.beds.find((one) => one.id === bedId);
  if (bed === undefined) return [];
  const prompts = stagePrompts({
    stage: STAGES[ruling],
    nowMs,
    sownMs: sownMsOf(bed, clock),
    movedMs: (slowPatches[0]?.move ?? move)?.atMs ?? null,
    window: germination.get(bedId) ?? null,
    seen: seenSigns(looks, bedId, nowMs),
  });
  return prompts
    .filter((prompt) => prompt.look)
    .map((prompt) => ({
      name: bed.name,
      text: `${words(ruling)}, ${prompt.text} Only a person moves it: \`dewbeat stage\`.`,
    }));
}

function handWaterNotes(input: Parameters<typeof personNotes>[0]): PlanWarning[] {
  const { handWater, site, clock, show, nowMs } = input;
  const today = handWater.filter((one) => clock.siteDayOf(one.startMs) === clock.siteDayOf(nowMs));
  return [...new Set(today.map((one) => one.bedId))].map((bedId) => {
    const given = today
      .filter((one) => one.bedId === bedId)
      .map((one) => `${show.depth(one.grossMm)} at ${clock.timeOf(one.startMs)} by ${one.who}`);
    return {
      code: 'hand_water',
      bedId,
      text: `${nameOf(site, bedId)} had water by hand today: ${given.join('; ')}. It counts up to what the seedbed could hold.`,
    };
  });
}

function nameOf(site: Site, bedId: string): string {
  return site.beds.find((bed) => bed.id === bedId)?.name ?? bedId;
}

function words(stage: string): string {
  return stage.replace('_', ' ');
}
