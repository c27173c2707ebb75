import { STAGE_NAMES, type StageName } from '../../calc/growth/stages.ts';
import type { Action } from './action.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';
import { answerWind } from './answer-wind.ts';
import { callDay } from './call-day.ts';
import type { ChangeRequest } from './change-request.ts';
import { endKeepOff } from './end-keep-off.ts';
import { logWater } from './log-water.ts';
import { moveStage } from './move-stage.ts';
import { oneMoreRotation } from './one-more-rotation.ts';
import { putKeepOff } from './put-keep-off.ts';
import { replan } from './replan.ts';
import { setTrim } from './set-trim.ts';

/** The action that a change of the page asks for, checked and not done. */
export function actionOf(context: ActionContext, change: ChangeRequest, who: string): Action {
  switch (change.kind) {
    case 'call':
      return callDay(context, { ...change, who });
    case 'keep_off':
      return putKeepOff(context, { ...change, who });
    case 'end_keep_off':
      return endKeepOff(context, { ...change, who });
    case 'water':
      return logWater(context, { ...change, who });
    case 'rotation':
      return oneMoreRotation(context, { ...change, who });
    case 'stage': {
      const { bedIds, why } = change;
      return moveStage(context, { bedIds, why, who, target: { to: stageOf(change.to) } });
    }
    case 'stage_back': {
      const { bedIds, why } = change;
      return moveStage(context, { bedIds, why, who, target: 'back' });
    }
    case 'trim':
      return setTrim(context, { ...change, who });
    case 'wind':
      return answerWind(context, { ...change, who });
    case 'replan':
      return replan(context, { ...change, who });
  }
}

function stageOf(text: string): StageName {
  const stage = STAGE_NAMES.find((name) => name === text);
  if (stage !== undefined) return stage;
  throw new ActionRefused(
    'to',
    `no such stage (got ${text}); the stages are ${STAGE_NAMES.join(', ')}`,
  );
}
