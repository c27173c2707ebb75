import { confirmPlan } from '../gate/gate.ts';
import type { ConfirmRequest, Refusal } from '../gate/judge-confirm.ts';
import type { ActContext } from './act-context.ts';

export type Confirmed =
  | { ok: true; line: string; missed: string[]; orderId: string }
  | { ok: false; refusal: Refusal };

/** Confirms exactly the plan that a person has read, or says why not. */
export function confirm({ db, config, nowMs }: ActContext, request: ConfirmRequest): Confirmed {
  const { clock, outputs } = config;
  const result = confirmPlan(
    { db, clock, outputs: outputs.map((output) => output.name), nowMs },
    request,
  );
  if (!result.ok) return result;
  const { plan, confirmation } = result.confirmed;
  return {
    ok: true,
    line: `Confirmed: revision ${plan.revision} of ${plan.siteDay} by ${confirmation.who}.`,
    missed: result.missed.map(
      (run) =>
        `missed, not made up for: ${clock.timeOf(run.startMs)} ${run.bedId} station ${run.stationId}`,
    ),
    orderId: result.orderId,
  };
}
