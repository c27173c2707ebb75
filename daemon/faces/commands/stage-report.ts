import {
  type BedStanding,
  type SeenSigns,
  type Standing,
  stagePrompts,
} from '../../../calc/growth/stage-moves.ts';
import { nextStage, STAGES } from '../../../calc/growth/stages.ts';
import type { BedGermination } from '../../../calc/schedule/day-plan.ts';
import { seenSigns, siteInStages, standingsOf } from '../../planning/person-records.ts';
import { germinationOfBeds, sownMsOf } from '../../planning/seeding.ts';
import { stageMoves } from '../../site/store/instructions.ts';
import { everyLook } from '../../site/store/looks.ts';
import { sayAtCommandLine as say } from '../../words/command-line.ts';
import { saySign } from '../../words/ground-words.ts';
import { type Reader, readerOf } from '../../words/plan-words.ts';
import { sayGermination, sayStagePrompt } from '../../words/stage-words.ts';
import { knownBed } from './given-options.ts';
import type { SiteSession } from './site-session.ts';

/**
 * Where each bed stands: since when and by whom, the signs that say it is ready for the next stage,
 * the window of the first green, and what to look at.
 */
export async function stageReport(
  session: SiteSession,
  asked: { bedId: string | undefined; nowMs: number },
): Promise<string> {
  const { config, db, weather } = session;
  const { clock } = config;
  const { nowMs } = asked;
  if (asked.bedId !== undefined) knownBed(config.site, asked.bedId);
  const looks = everyLook(db);
  const standings = standingsOf(config.site, stageMoves(db));
  const site = siteInStages(config.site, new Map(standings.map((one) => [one.bedId, one.ruling])));
  const germination = await germinationOfBeds({ site, clock, weather, nowMs });
  return site.beds
    .filter((bed) => asked.bedId === undefined || bed.id === asked.bedId)
    .flatMap((bed) => {
      const standing = standings.find((one) => one.bedId === bed.id);
      if (standing === undefined) return [];
      const at = {
        bed: bed.name,
        id: bed.id,
        stage: words(standing.stage),
        since: sinceOf(standing, clock.isoOf),
      };
      const window = germination.get(bed.id) ?? null;
      return [
        bed.seededOn === null
          ? say('stage.unseeded', at)
          : say('stage.seeded', { ...at, day: bed.seededOn }),
        ...patchLines(standing, clock.isoOf),
        ...signLines(standing, readerOf(config)),
        ...(window === null
          ? []
          : [
              `  ${say('stage.window', { window: sayGermination(window, nowMs, readerOf(config)) })}`,
            ]),
        ...promptLines(standing, {
          sownMs: sownMsOf(bed, clock),
          window,
          nowMs,
          seen: seenSigns(looks, bed.id, nowMs),
          reader: readerOf(config),
        }),
        '',
      ];
    })
    .join('\n')
    .trimEnd();
}

function sinceOf({ move }: Standing, isoOf: (instantMs: number) => string): string {
  if (move === null) return say('stage.never_moved');
  const at = isoOf(move.atMs).slice(0, 16).replace('T', ' ');
  return say('stage.since', { at, who: move.who, why: move.why });
}

function patchLines(
  { slowPatches, ruling }: BedStanding,
  isoOf: (instantMs: number) => string,
): string[] {
  const lines = slowPatches.map((patch) => {
    const { name, shareFraction: share } = patch;
    const at = { name, stage: words(patch.stage), since: sinceOf(patch, isoOf) };
    return share === null
      ? `  ${say('stage.patch', at)}`
      : `  ${say('stage.patch_share', { ...at, pct: Math.round(100 * share) })}`;
  });
  return lines.length === 0
    ? []
    : [...lines, `  ${say('stage.watered_as', { stage: words(ruling) })}`];
}

function signLines({ ruling }: BedStanding, reader: Reader): string[] {
  const next = nextStage(ruling);
  const onward =
    next === null ? say('stage.hand_over') : say('stage.ready', { stage: words(next) });
  return [`  ${onward}`, ...STAGES[ruling].movesOn.map((sign) => `    ${saySign(sign, reader)}`)];
}

function promptLines(
  { ruling, move, slowPatches }: BedStanding,
  given: {
    sownMs: number | null;
    window: BedGermination | null;
    nowMs: number;
    seen: SeenSigns;
    reader: Reader;
  },
): string[] {
  const movedMs = (slowPatches[0]?.move ?? move)?.atMs ?? null;
  return stagePrompts({ stage: STAGES[ruling], movedMs, ...given }).map(
    (prompt) =>
      `  ${say('stage.prompt', {
        isLook: prompt.look ? 'yes' : 'no',
        text: sayStagePrompt(prompt, given.reader),
      })}`,
  );
}

function words(stage: string): string {
  return stage.replace('_', ' ');
}
