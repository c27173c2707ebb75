import { z } from 'zod';
import { type BedStanding, type StageMove, stageOrder } from '../../calc/growth/stage-moves.ts';
import { previousStage, STAGE_NAMES, type StageName } from '../../calc/growth/stages.ts';
import type { Coded } from '../coded.ts';
import { standingsOf } from '../planning/person-records.ts';
import { addStageMove, stageMoves } from '../site/store/instructions.ts';
import { knownBeds, refuse, requiredText } from './action-context.ts';
import { beds, choice, numberOrNone, text, textOrNone } from './fields.ts';
import { describeAction } from './spec.ts';

const MOST_PATCH = 40;
const MOST_WHY = 200;

/** A stage by name, or one step back from where each bed stands. */
const TARGETS = [...STAGE_NAMES, 'back'] as const;
type Target = (typeof TARGETS)[number];

/**
 * Moves beds, or a slow patch of one, to another stage by a person's word. Where several beds are
 * named, those that stand there already are passed over.
 */
export const moveStage = describeAction({
  kind: 'stage',
  command: 'stage',
  letter: 's',
  isListed: true,
  isPlanned: true,
  schema: z.strictObject({
    kind: z.literal('stage'),
    bedIds: beds(),
    to: choice(z.enum(TARGETS), {
      option: 'to',
      choices: TARGETS.map((value) => ({ value, typed: value })),
      example: 'emergence',
    }),
    patch: textOrNone({ option: 'patch', atMost: MOST_PATCH, isForCommand: true }),
    shareFraction: numberOrNone({
      option: 'share',
      unit: 'share',
      atLeast: 0.01,
      atMost: 0.99,
      step: 0.05,
      isForCommand: true,
    }),
    why: text({ option: 'why', atMost: MOST_WHY, example: 'half of it shows green' }),
  }),
  presets: [{ option: 'back', values: { to: 'back' } }],
  begin({ bed, signs }) {
    const at = bed === null ? -1 : STAGE_NAMES.indexOf(bed.stage);
    return {
      values: { to: STAGE_NAMES[at + 1] ?? STAGE_NAMES[at] },
      choices: {
        to: TARGETS.map((value) => ({
          value,
          words: value === 'back' ? 'field.stage.to.back' : `stage.${value}`,
        })),
      },
      suggestions: { why: signs },
      facts: { nowStage: bed?.stage ?? '' },
    };
  },
  apply(context, input, who) {
    const { db, config, nowMs } = context;
    const { site } = config;
    const { shareFraction } = input;
    const beds = knownBeds(site, input.bedIds);
    const why = requiredText('why', input.why, { ask: 'why_on_bed', atMost: MOST_WHY });
    if (input.patch === null && shareFraction !== null) throw refuse('share', 'share_of_no_patch');
    const patch =
      input.patch === null
        ? null
        : requiredText('patch', input.patch, { ask: 'patch_name', atMost: MOST_PATCH });
    const before = standingsOf(site, stageMoves(db));
    const moves = beds.flatMap((bed) => {
      const standing = before.find((one) => one.bedId === bed.id);
      if (standing === undefined) return [];
      const from = standing.slowPatches.find((one) => one.name === patch)?.stage ?? standing.stage;
      const stage = targetOf(input.to, from);
      if (stage === from && !(patch !== null && shareFraction !== null)) {
        if (beds.length > 1) return [];
        throw refuse('to', 'stage_already', { what: patch ?? bed.name, got: stage });
      }
      if (patch !== null && stageOrder(stage) > stageOrder(standing.stage)) {
        throw refuse('to', 'patch_ahead', { got: stage, bedStage: standing.stage });
      }
      const move: StageMove = { atMs: nowMs, who, why, bedId: bed.id, patch, shareFraction, stage };
      return [{ move, from, bed: bed.name }];
    });
    if (moves.length === 0) throw refuse('to', 'stages_already');
    return {
      who,
      step: 'stage_moved',
      told: moves.map(({ move, from, bed }) => ({
        code: patch === null ? 'stage_moved' : 'patch_moved',
        bed,
        patch,
        fromStage: from,
        toStage: move.stage,
        why,
      })),
      atMs: nowMs,
      hypothetical: { stageMoves: moves.map(({ move }) => move) },
      lift: 'none',
      write() {
        for (const { move } of moves) addStageMove(db, move);
      },
      after() {
        const standings = standingsOf(site, stageMoves(db));
        return moves.flatMap(({ move, from, bed }) => afterMove(move, { from, bed, standings }));
      },
    };
  },
});

function afterMove(
  move: StageMove,
  given: { from: StageName; bed: string; standings: readonly BedStanding[] },
): Coded[] {
  const { from, bed, standings } = given;
  const told: Coded[] = [];
  if (Math.abs(stageOrder(move.stage) - stageOrder(from)) > 1) {
    told.push({ code: 'stage_more_than_one_step', bed });
  }
  const standing = standings.find((one) => one.bedId === move.bedId);
  const [slowest] = standing?.slowPatches ?? [];
  if (standing !== undefined && slowest !== undefined) {
    const { ruling } = standing;
    told.push({ code: 'stage_ruled_by_patch', bed, rulingStage: ruling, patch: slowest.name });
  }
  return told;
}

function targetOf(target: Target, from: StageName): StageName {
  if (target !== 'back') return target;
  const back = previousStage(from);
  if (back !== null) return back;
  throw refuse('back', 'no_stage_before', { got: from });
}
