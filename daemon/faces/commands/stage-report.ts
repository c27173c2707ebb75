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
import { saySign } from '../../words/ground-words.ts';
import { type Reader, readerOf } from '../../words/plan-words.ts';
import { sayGermination, sayStagePrompt } from '../../words/stage-words.ts';
import { knownBed } from './known-bed.ts';
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
      const seeded = bed.seededOn === null ? 'day of seeding not told' : `seeded ${bed.seededOn}`;
      const window = germination.get(bed.id) ?? null;
      return [
        `${bed.name} (${bed.id}): ${words(standing.stage)}, ${sinceOf(standing, clock.isoOf)}; ${seeded}`,
        ...patchLines(standing, clock.isoOf),
        ...signLines(standing, readerOf(config)),
        ...(window === null
          ? []
          : [`  window: ${sayGermination(window, nowMs, readerOf(config))}`]),
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
  if (move === null) return 'as the config has it, never moved';
  const at = isoOf(move.atMs).slice(0, 16).replace('T', ' ');
  return `since ${at} by ${move.who} (${move.why})`;
}

function patchLines(
  { slowPatches, ruling }: BedStanding,
  isoOf: (instantMs: number) => string,
): string[] {
  const lines = slowPatches.map((patch) => {
    const share =
      patch.shareFraction === null ? '' : `, ${Math.round(100 * patch.shareFraction)} % of the bed`;
    return `  patch ${patch.name}${share}: ${words(patch.stage)}, ${sinceOf(patch, isoOf)}`;
  });
  return lines.length === 0
    ? []
    : [...lines, `  watered as ${words(ruling)}: the younger part rules dose, depth and loss`];
}

function signLines({ ruling }: BedStanding, reader: Reader): string[] {
  const next = nextStage(ruling);
  const onward = next === null ? 'ready for the hand-over' : `ready for ${words(next)}`;
  return [
    `  ${onward} when:`,
    ...STAGES[ruling].movesOn.map((sign) => `    ${saySign(sign, reader)}`),
  ];
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
    (prompt) => `  ${prompt.look ? 'look' : 'note'}: ${sayStagePrompt(prompt, given.reader)}`,
  );
}

function words(stage: string): string {
  return stage.replace('_', ' ');
}
