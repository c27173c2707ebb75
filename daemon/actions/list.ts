import { z } from 'zod';
import { bareNumber, sayNumber, shownUnit } from '../words/number-unit.ts';
import type { Action } from './action.ts';
import { type ActionContext, refuse } from './action-context.ts';
import { callDay } from './call.ts';
import { logFeed } from './feed.ts';
import { fieldsOf } from './fields.ts';
import { endKeepOff, putKeepOff } from './keep-off.ts';
import { readMeter } from './meter.ts';
import { release, replan } from './replan.ts';
import { rotation } from './rotation.ts';
import type { ActionSpec } from './spec.ts';
import { moveStage } from './stage.ts';
import { trim } from './trim.ts';
import { logWater } from './water.ts';
import { answerWind } from './wind.ts';

/** What a person can ask for, in the order in which it is offered. */
const SPECS = [
  callDay,
  rotation,
  logWater,
  trim,
  putKeepOff,
  endKeepOff,
  moveStage,
  answerWind,
  readMeter,
  logFeed,
  replan,
  release,
] as const;

/** A request as a page, a terminal or a command sends it: what a person wants to be done. */
export const actionRequest = z.discriminatedUnion('kind', [
  callDay.schema,
  rotation.schema,
  logWater.schema,
  trim.schema,
  putKeepOff.schema,
  endKeepOff.schema,
  moveStage.schema,
  answerWind.schema,
  readMeter.schema,
  logFeed.schema,
  replan.schema,
  release.schema,
]);

/** What was asked for, before what is left out has its value. */
export type ActionRequest = z.input<typeof actionRequest>;

/** Every description, whatever its fields are. */
export const ACTIONS: readonly ActionSpec[] = SPECS as unknown as readonly ActionSpec[];

/** The description of that name, or null. */
export function actionNamed(kind: string): ActionSpec | null {
  return ACTIONS.find((one) => one.kind === kind) ?? null;
}

/**
 * What is asked for, checked and not done.
 * @throws ActionRefused that names the option at fault.
 */
export function actionOf(
  context: ActionContext,
  request: { kind: string; [key: string]: unknown },
  who: string,
): Action {
  const spec = actionNamed(request.kind);
  if (spec === null) throw refuse('kind', 'no_such_action', { got: request.kind });
  const fields = fieldsOf(spec.schema);
  for (const { key, field } of fields) {
    const value = request[key];
    if (field.kind !== 'number' || typeof value !== 'number') continue;
    const { atLeast, atMost, unit } = field;
    if (value >= atLeast && value <= atMost) continue;
    const shown = shownUnit(unit, context.config.units);
    throw refuse(field.option, 'bounds', {
      atLeast: bareNumber(atLeast, shown),
      atMost: sayNumber(atMost, shown),
      got: sayNumber(value, shown),
    });
  }
  const checked = spec.schema.safeParse(request);
  if (checked.success) return spec.apply(context, checked.data, who);
  const [issue] = checked.error.issues;
  if (issue?.code === 'unrecognized_keys') throw refuse(issue.keys[0] ?? '', 'not_known');
  const key = String(issue?.path[0] ?? '');
  const option = fields.find((one) => one.key === key)?.field.option ?? key;
  if (request[key] === undefined) throw refuse(option, 'missing');
  const got = JSON.stringify(request[key])?.slice(0, 60) ?? '';
  throw refuse(option, 'not_understood', { got });
}
