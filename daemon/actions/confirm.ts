import { confirmPlan } from '../site/gate/gate.ts';
import type { ConfirmRequest, Refusal } from '../site/gate/judge-confirm.ts';
import { siteInUseOf } from '../site/gate/site-changes.ts';
import { sayOnItsWay } from '../words/delivery-words.ts';
import type { ActionContext } from './action-context.ts';

export type Confirmed =
  | {
      ok: true;
      line: string;
      /** That no receiver has it yet, and where it goes: told at once. */
      onItsWay: string;
      missed: string[];
      orderId: string;
    }
  | { ok: false; refusal: Refusal };

/** Confirms exactly the plan that a person has read, or says why not. */
export function confirm({ db, config, nowMs }: ActionContext, request: ConfirmRequest): Confirmed {
  const { clock, outputs } = config;
  const result = confirmPlan(
    {
      db,
      clock,
      outputs: outputs.map((output) => output.name),
      nowMs,
      site: siteInUseOf(config),
    },
    request,
  );
  if (!result.ok) return result;
  const { plan, who } = result;
  return {
    ok: true,
    line: `Confirmed: revision ${plan.revision} of ${plan.siteDay} by ${who}.`,
    onItsWay: sayOnItsWay(outputs.map(({ name }) => name)),
    missed: result.missed.map(
      (run) =>
        `missed, not made up for: ${clock.timeOf(run.startMs)} ${run.bedId} station ${run.stationId}`,
    ),
    orderId: result.orderId,
  };
}
