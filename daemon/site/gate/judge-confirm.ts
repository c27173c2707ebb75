import type { DayChange } from '../../../adapters/contract.ts';
import { changedRuns } from '../../../calc/schedule/leeway-change.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import type { Hold, PersonKeepOff } from '../store/holds-and-keep-offs.ts';
import type { StoredConfirmation, StoredPlan } from '../store/plans.ts';
import { keptOffRuns, ownRuns } from './keep-offs.ts';
import { type SiteChange, type SiteInUse, siteChanges } from './site-changes.ts';
import { cautionsFor, isAsKept, unticked } from './valid-confirm.ts';

/** What a person says when confirming. */
export interface ConfirmRequest {
  revision: number;
  /** The digest, or at least its first eight characters. */
  digest: string;
  who: string;
  /** Codes of the ticked cautions. */
  cautions: readonly string[];
  /** Beds within whose leeway the day may be followed; left out or null: everything as laid. */
  leewayBedIds?: readonly string[] | null;
}

/** What stands in the store when the request comes. */
export interface GateState {
  newest: StoredPlan | null;
  /** The confirm of the newest plan, if it has one. */
  confirmed: StoredConfirmation | null;
  /** The confirm given last, of whichever plan. */
  inForce: StoredConfirmation | null;
  /** Its last change within its leeway; left out or null: it stands as laid. */
  change?: DayChange | null;
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
  | 'cautions_missing'
  | 'leeway_not_offered';

/** What a refusal tells beside its code; `changes` of the site where they are why. */
export interface RefusalFacts {
  facts?: Readonly<Record<string, string | number>>;
  changes?: readonly SiteChange[];
}

export interface Refusal extends RefusalFacts {
  code: RefusalCode;
}

export type Judgement = { ok: true; stored: StoredPlan } | { ok: false; refusal: Refusal };

/** What a guard looks at. */
interface Asked extends Omit<GateState, 'newest'> {
  newest: StoredPlan;
  request: ConfirmRequest;
  nowMs: number;
}

/** One thing that has to hold; gives the facts of its refusal, or null when it holds. */
export interface Guard {
  code: Exclude<RefusalCode, 'no_plan'>;
  refuses(asked: Asked): RefusalFacts | null;
}

const LEAST_DIGEST = 8;

/** Every guard of the gate, in the order in which a person hears of them. */
export const GUARDS: readonly Guard[] = [
  {
    code: 'name_missing',
    refuses: ({ request }) => (request.who.trim() === '' ? {} : null),
  },
  {
    code: 'digest_too_short',
    refuses: ({ request }) =>
      request.digest.length < LEAST_DIGEST
        ? { facts: { least: LEAST_DIGEST, got: request.digest } }
        : null,
  },
  {
    code: 'revision_outdated',
    refuses: ({ request, newest }) =>
      request.revision === newest.plan.revision
        ? null
        : { facts: { got: request.revision, ...named(newest) } },
  },
  {
    code: 'digest_outdated',
    refuses: ({ request, newest }) =>
      newest.digest.startsWith(request.digest.toLowerCase())
        ? null
        : { facts: { got: request.digest, ...named(newest) } },
  },
  {
    code: 'plan_altered',
    refuses: ({ newest }) =>
      newest.plan.madeFor === undefined || isAsKept(newest) ? null : { facts: named(newest) },
  },
  {
    code: 'already_confirmed',
    refuses: ({ confirmed, newest }) =>
      confirmed === null
        ? null
        : { facts: { ...named(newest), who: confirmed.who, confirmedMs: confirmed.atMs } },
  },
  {
    code: 'day_over',
    refuses: ({ newest, nowMs }) =>
      nowMs < newest.plan.endMs ? null : { facts: { siteDay: newest.plan.siteDay } },
  },
  {
    code: 'site_changed',
    refuses({ newest, site }) {
      const changes = siteChanges(newest.plan, site);
      return changes.length === 0 ? null : { changes };
    },
  },
  {
    code: 'held_since',
    refuses({ openHolds, newest }) {
      const held = openHolds.find((hold) => hold.holdId > newest.lastHoldId);
      return held === undefined
        ? null
        : { facts: { who: held.who, stoppedMs: held.atMs, why: held.why } };
    },
  },
  {
    code: 'keep_off_since',
    refuses({ newest, keepOffs, nowMs }) {
      const ahead = ownRuns(newest.plan).filter((run) => run.startMs >= nowMs);
      const keptOff = keptOffRuns(ahead, keepOffs, nowMs)[0];
      return keptOff === undefined
        ? null
        : { facts: { bed: keptOff.bedId, startMs: keptOff.startMs } };
    },
  },
  {
    code: 'overtaken',
    refuses({ inForce, change = null, newest, nowMs }) {
      const overtaking = runsBetween(inForce, change, newest.plan.firstRunMs, nowMs)[0];
      return overtaking === undefined
        ? null
        : { facts: { bed: overtaking.bedId, startMs: overtaking.startMs } };
    },
  },
  {
    code: 'cautions_missing',
    refuses({ newest, request }) {
      const missing = unticked(newest.plan, request.cautions);
      return missing.length === 0
        ? null
        : { facts: { missing: missing.join(', '), all: codesOf(cautionsFor(newest.plan)) } };
    },
  },
  {
    code: 'leeway_not_offered',
    refuses({ newest, request }) {
      const offered = newest.plan.leeway?.beds.map(({ bedId }) => bedId) ?? [];
      const other = (request.leewayBedIds ?? []).find((bedId) => !offered.includes(bedId));
      return other === undefined ? null : { facts: { bed: other } };
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
  asked: Pick<Asked, 'request' | 'nowMs'>,
  guards: readonly Guard[] = GUARDS,
): Judgement {
  const { newest } = state;
  if (newest === null) return { ok: false, refusal: { code: 'no_plan' } };
  for (const { code, refuses } of guards) {
    const facts = refuses({ ...state, newest, ...asked });
    if (facts !== null) return { ok: false, refusal: { code, ...facts } };
  }
  return { ok: true, stored: newest };
}

function codesOf(cautions: readonly { code: string }[]): string {
  return cautions.map(({ code }) => code).join(' ');
}

function named({ plan, digest }: StoredPlan) {
  const { revision, siteDay } = plan;
  return { revision, siteDay, digest: digest.slice(0, LEAST_DIGEST) };
}

function runsBetween(
  inForce: StoredConfirmation | null,
  change: DayChange | null,
  fromMs: number,
  toMs: number,
): Run[] {
  if (inForce === null) return [];
  const { plan } = inForce.stored;
  const runs = change === null ? plan.runs : changedRuns(change.cycles, plan);
  return runs.filter((run) => run.startMs >= Math.max(fromMs, inForce.atMs) && run.startMs < toMs);
}
