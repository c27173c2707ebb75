import type { Run } from '../../calc/schedule/run.ts';
import type { StoredConfirmation } from '../store/confirmations.ts';
import type { Hold } from '../store/holds.ts';
import type { PersonKeepOff } from '../store/keep-offs.ts';
import type { StoredPlan } from '../store/plans.ts';
import { cautionsFor, unticked } from './cautions.ts';
import { keptOffRuns, ownRuns } from './kept-off-runs.ts';

/** What a person says when confirming. */
export interface ConfirmRequest {
  revision: number;
  /** The digest, or at least its first eight characters. */
  digest: string;
  who: string;
  /** Codes of the ticked cautions. */
  cautions: readonly string[];
}

/** What stands in the store when the request comes. */
export interface GateState {
  newest: StoredPlan | null;
  /** The confirm of the newest plan, if it has one. */
  confirmed: StoredConfirmation | null;
  /** The confirm given last, of whichever plan. */
  inForce: StoredConfirmation | null;
  openHolds: readonly Hold[];
  /** Every keep-off that a person has put on. */
  keepOffs: readonly PersonKeepOff[];
}

/** Why a confirm is refused: a closed list. */
export type RefusalCode =
  | 'no_plan'
  | 'name_missing'
  | 'digest_too_short'
  | 'revision_outdated'
  | 'digest_outdated'
  | 'already_confirmed'
  | 'day_over'
  | 'held_since'
  | 'keep_off_since'
  | 'overtaken'
  | 'cautions_missing';

export interface Refusal {
  code: RefusalCode;
  text: string;
}

export type Judgement = { ok: true; stored: StoredPlan } | { ok: false; refusal: Refusal };

const LEAST_DIGEST = 8;

/**
 * Decides whether a confirm may open the gate. Pure: the same state, request and instant give the
 * same answer.
 *
 * @param timeOf Wall-clock time at the site, for the wording.
 */
export function judgeConfirm(
  state: GateState,
  request: ConfirmRequest,
  nowMs: number,
  timeOf: (instantMs: number) => string,
): Judgement {
  const refuse = (code: RefusalCode, text: string): Judgement => ({
    ok: false,
    refusal: { code, text },
  });
  const { newest, confirmed, inForce, openHolds } = state;
  if (newest === null) {
    return refuse('no_plan', 'there is no plan yet; make one with `dewbeat plan`');
  }
  const { plan, digest } = newest;
  const current = `revision ${plan.revision} of ${plan.siteDay}, digest ${digest.slice(0, LEAST_DIGEST)}`;
  if (request.who.trim() === '') {
    return refuse('name_missing', 'a confirm needs a name (got none); give --who');
  }
  if (request.digest.length < LEAST_DIGEST) {
    return refuse(
      'digest_too_short',
      `a confirm needs the first ${LEAST_DIGEST} characters of the digest at least (got ${request.digest}); copy it from \`dewbeat show\``,
    );
  }
  if (request.revision !== plan.revision) {
    return refuse(
      'revision_outdated',
      `revision ${request.revision} is not the newest plan (that is ${current}); read it with \`dewbeat show\` and confirm that one`,
    );
  }
  if (!digest.startsWith(request.digest.toLowerCase())) {
    return refuse(
      'digest_outdated',
      `this digest is not that of the newest plan (got ${request.digest}, it is ${current}); read it with \`dewbeat show\` and confirm what you have read`,
    );
  }
  if (confirmed !== null) {
    return refuse(
      'already_confirmed',
      `${current} was confirmed by ${confirmed.who} at ${timeOf(confirmed.atMs)}; nothing is sent twice`,
    );
  }
  if (nowMs >= plan.endMs) {
    return refuse(
      'day_over',
      `the plan was for ${plan.siteDay} and that day is over; make a fresh one with \`dewbeat plan\``,
    );
  }
  const held = openHolds.find((hold) => hold.holdId > newest.lastHoldId);
  if (held !== undefined) {
    return refuse(
      'held_since',
      `${held.who} put on a hold at ${timeOf(held.atMs)} (${held.why}), after this plan was made; make a fresh one with \`dewbeat plan --lift\``,
    );
  }
  const ahead = ownRuns(plan).filter((run) => run.startMs >= nowMs);
  const keptOff = keptOffRuns(ahead, state.keepOffs, nowMs)[0];
  if (keptOff !== undefined) {
    return refuse(
      'keep_off_since',
      `the plan waters ${keptOff.bedId} at ${timeOf(keptOff.startMs)}, in a keep-off put on after it was made; see \`dewbeat keep-off\`, and make a fresh plan with \`dewbeat plan\``,
    );
  }
  const overtaking = runsBetween(inForce, plan.firstRunMs, nowMs)[0];
  if (overtaking !== undefined) {
    return refuse(
      'overtaken',
      `the plan in force has watered ${overtaking.bedId} at ${timeOf(overtaking.startMs)}, since this one was made; make a fresh one with \`dewbeat plan\`, so that no bed drinks twice`,
    );
  }
  const missing = unticked(plan, request.cautions);
  if (missing.length > 0) {
    return refuse(
      'cautions_missing',
      `tick every caution (missing ${missing.map((caution) => caution.code).join(', ')}); look at the turf, then give --caution ${cautionsFor(
        plan,
      )
        .map((caution) => caution.code)
        .join(' ')}`,
    );
  }
  return { ok: true, stored: newest };
}

function runsBetween(inForce: StoredConfirmation | null, fromMs: number, toMs: number): Run[] {
  if (inForce === null) return [];
  return inForce.stored.plan.runs.filter(
    (run) => run.startMs >= Math.max(fromMs, inForce.atMs) && run.startMs < toMs,
  );
}
