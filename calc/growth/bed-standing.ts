import { STAGE_NAMES, type StageName } from './stages.ts';

/** A person's move of a bed, or of a slow patch of it, to a stage. */
export interface StageMove {
  atMs: number;
  who: string;
  why: string;
  bedId: string;
  /** Name of a patch that is slower than its bed; null: the bed itself. */
  patch: string | null;
  /** Part of the bed that the patch takes up; null: as said before, or not said. */
  shareFraction: number | null;
  stage: StageName;
}

/** Where a bed or a patch stands, and who put it there. */
export interface Standing {
  stage: StageName;
  /** The move that brought it here; null: the config's stage, never moved. */
  move: StageMove | null;
}

/** A patch that stands behind its bed. */
export interface SlowPatch extends Standing {
  name: string;
  shareFraction: number | null;
}

/** Where a bed stands with its slow patches. */
export interface BedStanding extends Standing {
  bedId: string;
  /** The stage that the bed is watered by: the least advanced of the bed and its patches. */
  ruling: StageName;
  /** Patches behind the bed, least advanced first. */
  slowPatches: SlowPatch[];
}

/** Place of a stage in the order of the grow-in, from 0. */
export function stageOrder(stage: StageName): number {
  return STAGE_NAMES.indexOf(stage);
}

/**
 * Where a bed stands after a person's moves.
 *
 * The newest move of the bed and of each patch counts. A patch that has caught up with its bed no
 * longer shows. The younger part rules the water, because its seed layer dries first and costs most.
 *
 * @param asked the config's stage; moves of any bed, oldest first.
 * Source: common practice, slow patches of one bed may stand in another stage.
 */
export function bedStanding(asked: {
  bedId: string;
  configStage: StageName;
  moves: readonly StageMove[];
}): BedStanding {
  const { bedId, configStage } = asked;
  const own = asked.moves.filter((move) => move.bedId === bedId);
  const last = own.findLast((move) => move.patch === null) ?? null;
  const stage = last?.stage ?? configStage;
  const names = [...new Set(own.flatMap((move) => (move.patch === null ? [] : [move.patch])))];
  const slowPatches = names
    .flatMap((name): SlowPatch[] => {
      const moves = own.filter((move) => move.patch === name);
      const move = moves.at(-1);
      if (move === undefined || stageOrder(move.stage) >= stageOrder(stage)) return [];
      const shareFraction =
        moves.findLast((one) => one.shareFraction !== null)?.shareFraction ?? null;
      return [{ name, shareFraction, stage: move.stage, move }];
    })
    .toSorted((a, b) => stageOrder(a.stage) - stageOrder(b.stage));
  return { bedId, stage, move: last, ruling: slowPatches[0]?.stage ?? stage, slowPatches };
}
