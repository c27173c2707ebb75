import type { Wanted } from '../../adapters/contract.ts';
import { wantedFrom } from '../../daemon/delivery/order-decisions.ts';
import { holdEffect, type Lift } from '../../daemon/planning/open-holds.ts';
import { confirmedPlan } from '../../daemon/site/gate/confirmed-plan.ts';
import { type Guard, judgeConfirm } from '../../daemon/site/gate/judge-confirm.ts';
import type { Hold } from '../../daemon/site/store/holds-and-keep-offs.ts';
import type { OutboxOrder } from '../../daemon/site/store/outbox.ts';
import {
  BEDS,
  CLOCK,
  SITE,
  SITE_ID,
  storedConfirmation,
  storedPlan,
  TICKED,
  WHO,
} from './fixed-days.ts';
import type { Rules } from './rules.ts';
import { nowMs, type Out, orderStateOf, PLACES, type World, type Writable } from './world.ts';

const DAY_MS = 24 * 3_600_000;

/** Holds that no confirm has lifted. */
export function openHolds(world: Pick<World, 'holds' | 'lifted'>): Hold[] {
  return world.holds.filter((_, index) => world.lifted[index] === 0);
}

/** Makes a held plan: what open holds do to it is the program's own judgement. */
export function makePlan(world: Writable, lift: Lift): void {
  const fromMs = nowMs(world);
  const effect = holdEffect({
    holds: openHolds(world),
    lift,
    bedIds: BEDS,
    fromMs,
    endMs: fromMs + DAY_MS,
  });
  const beds = BEDS.filter((bedId) => !effect.keepOffs.some((one) => one.bedId === bedId));
  const plan = storedPlan({
    planId: world.plans.length + 1,
    phase: world.phase,
    beds,
    lifts: effect.lifts,
    lastHoldId: world.holds.length,
  });
  world.plans = [...world.plans, plan];
}

/** A person confirms the newest plan as it was read; false: the gate stays shut. */
export function confirmNewest(world: Writable, guards: readonly Guard[]): boolean {
  const plan = world.plans.at(-1);
  if (plan === undefined) return false;
  const { row: newest } = plan;
  const atMs = nowMs(world);
  if (!isLetOut(world, guards)) return false;
  const confirmationId = world.confirms.length + 1;
  world.confirms = [...world.confirms, storedConfirmation(confirmationId, plan, atMs)];
  world.lifted = world.lifted.map((by, index) =>
    by === 0 && newest.lifts.includes(index + 1) ? confirmationId : by,
  );
  owe(world, {
    orderId: `${newest.plan.siteDay}-r${newest.plan.revision}-${newest.digest.slice(0, 8)}`,
    kind: 'deliver',
    confirmationId,
    holdId: null,
    atMs,
    validUntilMs: newest.plan.endMs,
  });
  return true;
}

const judged = new Map<readonly Guard[], Map<string, boolean>>();

/** The gate's own judgement, worked out once for the same rows at the same instant. */
function isLetOut(world: Writable, guards: readonly Guard[]): boolean {
  const { plans, confirms, holds, lifted } = world;
  const newest = plans.at(-1);
  if (newest === undefined) return false;
  const atMs = nowMs(world);
  const inForce = confirms.at(-1);
  const holdKeys = holds.map(({ beds, atMs: at }) => `${beds}@${at}`);
  const key = [newest.key, inForce?.key, atMs, holdKeys.join(' '), lifted.join()].join('|');
  const known = judged.get(guards) ?? new Map<string, boolean>();
  judged.set(guards, known);
  const before = known.get(key);
  if (before !== undefined) return before;
  const { row } = newest;
  const confirmed = confirms.find((one) => one.row.stored.planId === row.planId)?.row ?? null;
  const request = {
    revision: row.plan.revision,
    digest: row.digest,
    who: WHO,
    cautions: TICKED,
  };
  const judgement = judgeConfirm(
    {
      newest: row,
      confirmed,
      inForce: inForce?.row ?? null,
      openHolds: openHolds(world),
      keepOffs: [],
      site: SITE,
    },
    { request, nowMs: atMs },
    guards,
  );
  known.set(key, judgement.ok);
  return judgement.ok;
}

/** Writes a hold with the orders that pass it on. */
export function addHold(
  world: Writable,
  asked: Pick<Hold, 'beds' | 'who' | 'why' | 'atMs'>,
): number {
  const inForce = world.confirms.at(-1)?.row ?? null;
  const inForceId = inForce?.confirmationId ?? null;
  const holdId = world.holds.length + 1;
  world.holds = [...world.holds, { ...asked, holdId, untilMs: null, inForceId }];
  world.lifted = [...world.lifted, 0];
  owe(world, {
    orderId: `hold-${holdId}-${asked.atMs}`,
    kind: 'withdraw',
    confirmationId: inForceId,
    holdId,
    atMs: asked.atMs,
    validUntilMs: Math.max(inForce?.stored.plan.endMs ?? 0, asked.atMs + DAY_MS),
  });
  return holdId;
}

function owe(world: Writable, order: Omit<OutboxOrder, 'output'>): void {
  for (const out of world.outs) {
    if (out.isLeft) continue;
    const row = { ...order, output: out.name, toPlace: PLACES[out.place] ?? '' };
    out.owed = [...out.owed, { row, seq: out.owed.length + 1, last: null }];
  }
}

/** What an order wants to stand at its output now, as the program works it out from its rows. */
export function wantedOf(
  world: World | Writable,
  out: Out,
  seq: number,
  rules: Rules,
): Wanted | null {
  const row = out.owed[seq - 1]?.row;
  if (row === undefined) return null;
  const hold = row.holdId === null ? null : (world.holds[row.holdId - 1] ?? null);
  const confirmation =
    row.confirmationId === null ? null : (world.confirms[row.confirmationId - 1]?.row ?? null);
  const standing =
    confirmation === null
      ? null
      : confirmedPlan(confirmation, {
          holds: world.holds.filter((one) => one.inForceId === confirmation.confirmationId),
          isLogged: true,
          site: SITE,
        }).confirmed;
  const siteDay = CLOCK.siteDayOf((hold ?? row).atMs);
  const delivery = out.owed.find(
    (one) => one.row.kind === 'deliver' && one.row.confirmationId === row.confirmationId,
  );
  return wantedFrom(row, {
    siteId: SITE_ID,
    siteDay,
    standing,
    hold,
    delivery: delivery === undefined ? null : orderStateOf(delivery, row.atMs),
    place: rules.knowsPlaces ? (PLACES[out.place] ?? null) : null,
  });
}
