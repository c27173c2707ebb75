import type { Run } from '../../../calc/schedule/run.ts';
import type { Hold, PersonKeepOff } from '../store/holds-and-keep-offs.ts';
import type { StoredConfirmation, StoredPlan } from '../store/plans.ts';
import { keptOffRuns, ownRuns } from './keep-offs.ts';
import { type SiteInUse, sayChanges, siteChanges } from './site-changes.ts';
import { cautionsFor, isAsKept, unticked } from './valid-confirm.ts';

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
  /** The site by the config in use. */
  site: SiteInUse;
}

/** Why a confirm is refused: a closed list. */
export type RefusalCode =
  | 'no_plan'
  | 'name_missing'
  | 'digest_too_short'
  | 'revision_outdated'
  | 'digest_outdated'
  | 'plan_altered'
  | 'already_confirmed'
  | 'day_over'
  | 'site_changed'
  | 'held_since'
  | 'keep_off_since'
  | 'overtaken'
  | 'cautions_missing';

export interface Refusal {
  code: RefusalCode;
  text: string;
}

export type Judgement = { ok: true; stored: StoredPlan } | { ok: false; refusal: Refusal };

/** What a guard looks at. */
interface Asked extends Omit<GateState, 'newest'> {
  newest: StoredPlan;
  request: ConfirmRequest;
  nowMs: number;
  /** Wall-clock time at the site, for the wording. */
  timeOf(instantMs: number): string;
}

/** One thing that has to hold; gives the words of its refusal, or null when it holds. */
export interface Guard {
  code: Exclude<RefusalCode, 'no_plan'>;
  refuses(asked: Asked): string | null;
}

const LEAST_DIGEST = 8;

/** Every guard of the gate, in the order in which a person hears of them. */
export const GUARDS: readonly Guard[] = [
  {
    code: 'name_missing',
    refuses: ({ request }) =>
      request.who.trim() === '' ? 'a confirm needs a name (got none); give `--who`' : null,
  },
  {
    code: 'digest_too_short',
    refuses: ({ request }) =>
      request.digest.length < LEAST_DIGEST
        ? `a confirm needs the first ${LEAST_DIGEST} characters of the digest at least (got ${request.digest}); copy it from \`dewbeat show\``
        : null,
  },
  {
    code: 'revision_outdated',
    refuses: ({ request, newest }) =>
      request.revision === newest.plan.revision
        ? null
        : `revision ${request.revision} is not the newest plan (that is ${named(newest)}); read it with \`dewbeat show\` and confirm that one`,
  },
  {
    code: 'digest_outdated',
    refuses: ({ request, newest }) =>
      newest.digest.startsWith(request.digest.toLowerCase())
        ? null
        : `this digest is not that of the newest plan (got ${request.digest}, it is ${named(newest)}); read it with \`dewbeat show\` and confirm what you have read`,
  },
  {
    code: 'plan_altered',
    refuses: ({ newest }) =>
      newest.plan.madeFor === undefined || isAsKept(newest)
        ? null
        : `the plan in the database is not the one that was kept (got a row that does not fit ${named(newest)}); find out who writes to the database, then make a fresh plan with \`dewbeat plan\``,
  },
  {
    code: 'already_confirmed',
    refuses: ({ confirmed, newest, timeOf }) =>
      confirmed === null
        ? null
        : `${named(newest)} was confirmed by ${confirmed.who} at ${timeOf(confirmed.atMs)}; nothing is sent twice`,
  },
  {
    code: 'day_over',
    refuses: ({ newest, nowMs }) =>
      nowMs < newest.plan.endMs
        ? null
        : `the plan was for ${newest.plan.siteDay} and that day is over; make a fresh one with \`dewbeat plan\``,
  },
  {
    code: 'site_changed',
    refuses({ newest, site }) {
      const changes = siteChanges(newest.plan, site);
      return changes.length === 0
        ? null
        : `the site is no longer what the plan was made for (got: ${sayChanges(changes)}); make a fresh one with \`dewbeat plan\``;
    },
  },
  {
    code: 'held_since',
    refuses({ openHolds, newest, timeOf }) {
      const held = openHolds.find((hold) => hold.holdId > newest.lastHoldId);
      return held === undefined
        ? null
        : `${held.who} put on a hold at ${timeOf(held.atMs)} (${held.why}), after this plan was made; make a fresh one with \`dewbeat plan --lift\``;
    },
  },
  {
    code: 'keep_off_since',
    refuses({ newest, keepOffs, nowMs, timeOf }) {
      const ahead = ownRuns(newest.plan).filter((run) => run.startMs >= nowMs);
      const keptOff = keptOffRuns(ahead, keepOffs, nowMs)[0];
      return keptOff === undefined
        ? null
        : `the plan waters ${keptOff.bedId} at ${timeOf(keptOff.startMs)}, in a keep-off put on after it was made; see \`dewbeat keep-off\`, and make a fresh plan with \`dewbeat plan\``;
    },
  },
  {
    code: 'overtaken',
    refuses({ inForce, newest, nowMs, timeOf }) {
      const overtaking = runsBetween(inForce, newest.plan.firstRunMs, nowMs)[0];
      return overtaking === undefined
        ? null
        : `the plan in force has watered ${overtaking.bedId} at ${timeOf(overtaking.startMs)}, since this one was made; make a fresh one with \`dewbeat plan\`, so that no bed drinks twice`;
    },
  },
  {
    code: 'cautions_missing',
    refuses({ newest, request }) {
      const codes = (of: readonly { code: string }[]) => of.map(({ code }) => code);
      const missing = codes(unticked(newest.plan, request.cautions));
      return missing.length === 0
        ? null
        : `tick every caution (missing ${missing.join(', ')}); look at the turf, then tick them with \`--caution ${codes(cautionsFor(newest.plan)).join(' ')}\``;
    },
  },
];

/**
 * Decides whether a confirm may open the gate. Pure: the same state, request and instant give the
 * same answer.
 *
 * @param guards All of them; the tests leave one out to see that its absence is noticed.
 */
export function judgeConfirm(
  state: GateState,
  asked: Pick<Asked, 'request' | 'nowMs' | 'timeOf'>,
  guards: readonly Guard[] = GUARDS,
): Judgement {
  const { newest } = state;
  if (newest === null) {
    const text = 'there is no plan yet; make one with `dewbeat plan`';
    return { ok: false, refusal: { code: 'no_plan', text } };
  }
  for (const { code, refuses } of guards) {
    const text = refuses({ ...state, newest, ...asked });
    if (text !== null) return { ok: false, refusal: { code, text } };
  }
  return { ok: true, stored: newest };
}

function named({ plan, digest }: StoredPlan): string {
  return `revision ${plan.revision} of ${plan.siteDay}, digest ${digest.slice(0, LEAST_DIGEST)}`;
}

function runsBetween(inForce: StoredConfirmation | null, fromMs: number, toMs: number): Run[] {
  if (inForce === null) return [];
  return inForce.stored.plan.runs.filter(
    (run) => run.startMs >= Math.max(fromMs, inForce.atMs) && run.startMs < toMs,
  );
}
