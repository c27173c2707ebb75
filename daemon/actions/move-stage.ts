import { type BedStanding, type StageMove, stageOrder } from '../../calc/growth/bed-standing.ts';
import { previousStage, STAGES, type StageName } from '../../calc/growth/stages.ts';
import { standingsOf } from '../planning/site-in-stages.ts';
import { addStageMove, stageMoves } from '../store/stage-moves.ts';
import { addStep } from '../store/steps.ts';
import type { Action } from './action.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';
import { knownBed, requiredText } from './known-beds.ts';

const MOST_PATCH = 40;
const MOST_WHY = 200;

/** Where to: a stage by name, or one step back from where each bed stands. */
export type StageTarget = { to: StageName } | 'back';

/**
 * Moves beds, or a slow patch of one, to another stage by a person's word. Where several beds are
 * named, those that stand there already are passed over.
 */
export function moveStage(
  context: ActionContext,
  asked: {
    bedIds: readonly (string | undefined)[];
    target: StageTarget;
    patch?: string | null;
    shareFraction?: number | null;
    who: string;
    why: string | undefined;
  },
): Action {
  const { db, config, nowMs } = context;
  const { site, clock } = config;
  const { who, target, shareFraction = null } = asked;
  const beds = [...new Set(asked.bedIds)].map((id) => knownBed(site, id));
  if (beds.length === 0) knownBed(site, undefined);
  const why = requiredText('why', asked.why, {
    ask: 'say what you saw on the bed',
    most: MOST_WHY,
  });
  const patch =
    asked.patch === null || asked.patch === undefined
      ? null
      : requiredText('patch', asked.patch, {
          ask: 'name the patch as you would on the turf',
          most: MOST_PATCH,
        });
  const before = standingsOf(site, stageMoves(db));
  const moves = beds.flatMap((bed) => {
    const standing = before.find((one) => one.bedId === bed.id);
    if (standing === undefined) return [];
    const from = standing.slowPatches.find((one) => one.name === patch)?.stage ?? standing.stage;
    const stage = targetOf(target, from);
    const what = patch === null ? bed.name : `${bed.name}, patch ${patch}`;
    if (stage === from && !(patch !== null && shareFraction !== null)) {
      if (beds.length > 1) return [];
      throw new ActionRefused('to', `${what} stands there already (got ${stage}); nothing moved`);
    }
    if (patch !== null && stageOrder(stage) > stageOrder(standing.stage)) {
      throw new ActionRefused(
        'to',
        `a patch cannot be ahead of its bed (got ${stage}, the bed is at ${standing.stage}); move the bed, and keep back what is slow`,
      );
    }
    const move: StageMove = { atMs: nowMs, who, why, bedId: bed.id, patch, shareFraction, stage };
    return [{ move, from, what }];
  });
  if (moves.length === 0) {
    throw new ActionRefused('to', 'all of these beds stand there already; nothing moved');
  }
  return {
    line: moves
      .map(({ what, from, move }) => `${what}: ${words(from)} to ${words(move.stage)}.`)
      .join(' '),
    who,
    hypothetical: { stageMoves: moves.map(({ move }) => move) },
    lift: 'none',
    keep() {
      for (const { move, from, what } of moves) {
        addStageMove(db, move);
        addStep(db, {
          atMs: nowMs,
          kind: 'stage_moved',
          who,
          siteDay: clock.siteDayOf(nowMs),
          what: `${what}: ${from} to ${move.stage} (${why})`,
        });
      }
      const after = standingsOf(site, stageMoves(db));
      return moves.flatMap(({ move, from, what }) => [
        `${what}: ${words(from)} to ${words(move.stage)}.`,
        ...afterLines(move, from, after),
      ]);
    },
  };
}

function afterLines(move: StageMove, from: StageName, after: readonly BedStanding[]): string[] {
  const lines: string[] = [];
  if (Math.abs(stageOrder(move.stage) - stageOrder(from)) > 1) {
    lines.push('That is more than one step: look at the hottest hour today and tomorrow.');
  }
  const standing = after.find((one) => one.bedId === move.bedId);
  const [slowest] = standing?.slowPatches ?? [];
  if (standing !== undefined && slowest !== undefined) {
    lines.push(
      `It is watered as ${words(standing.ruling)}: its patch ${slowest.name} is the younger part.`,
    );
  }
  return lines;
}

function targetOf(target: StageTarget, from: StageName): StageName {
  if (target !== 'back') return target.to;
  const back = previousStage(from);
  if (back !== null) return back;
  throw new ActionRefused(
    'back',
    `there is no stage before (got ${from}); it is the first: ${STAGES[from].label}`,
  );
}

function words(stage: StageName): string {
  return stage.replace('_', ' ');
}
