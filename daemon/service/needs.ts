import { bedsFact, type Coded } from '../coded.ts';
import type { SiteChange } from '../site/gate/site-changes.ts';
import { HEARTBEAT_MS } from '../site/store/running-daemon.ts';
import { sayAltered, sayChanges } from '../words/confirm-words.ts';
import type { Reader } from '../words/plan-words.ts';
import { sayCoded } from '../words/told.ts';
import type { SiteStatus } from './site-status.ts';

/** Everything for which the status asks for a person, worst first: a closed list. */
export const NEED_CODES = [
  'database_gone',
  'lock_gone',
  'database_fault',
  'store_altered',
  'disk_low',
  'daemon_away',
  'heartbeat_late',
  'clockwork',
  'config_refused',
  'site_changed',
  'order_refused',
  'order_open',
  'output_away',
  'output_unseen',
  'output_changed',
  'place_left',
  'plan_missing',
  'hold_open',
  'plan_held',
  'page_away',
] as const;

export type NeedCode = (typeof NEED_CODES)[number];

/** Something that a person has to see to. */
export interface Need {
  code: NeedCode;
  facts: Readonly<Record<string, string | number | null>>;
  /** How a plan's rows were altered, where that is it. */
  altered?: Coded;
  /** How the site has changed, where that is it. */
  changes?: readonly SiteChange[];
}

/** What is wrong and what to do, in one sentence. */
export function sayNeed({ code, facts, altered, changes }: Need, reader: Reader): string {
  const what =
    altered !== undefined
      ? sayAltered(altered, reader)
      : changes !== undefined
        ? sayChanges(changes, reader)
        : '';
  return sayCoded('need', { what, ...facts, code }, reader);
}

/** Below this a season's memory and a backup have no room. */
const MIN_FREE_MB = 200;
const HEARTBEAT_LATE_MS = 4 * HEARTBEAT_MS;
/** A look at an output takes a moment, and one that fails is tried again. */
const UNSEEN_PATIENCE_MS = 10_000;
/** Once may be an accident; more than that is somebody else who writes there. */
const MAX_PUT_RIGHT = 2;
/** A plan takes a while, and the daemon tries again each minute. */
const ORDER_PATIENCE_MS = 2 * 60_000;

/** What of a site's status a person has to see to, worst first. Pure. */
export function needsOf(status: SiteStatus): Need[] {
  const { nowMs, running, daemon, heartbeatMs, newest, holds, open, orders, disk } = status;
  const needs: Need[] = [];
  const need = (code: NeedCode, facts: Need['facts'] = {}) => needs.push({ code, facts });
  const live = running ? daemon : null;

  for (const code of ['database_gone', 'lock_gone'] as const) {
    // The lock may be the very file that is gone: what the daemon says of it counts all the same.
    const gone = daemon?.[code] ?? null;
    if (gone === null || (!running && isOld(heartbeatMs, nowMs))) continue;
    need(code, { what: gone });
  }
  if (live?.database_fault) need('database_fault', { got: live.database_fault });
  for (const altered of status.doubts.altered) {
    needs.push({ code: 'store_altered', facts: {}, altered });
  }
  if (disk.freeMb !== null && disk.freeMb < MIN_FREE_MB) {
    need('disk_low', { megabytes: Math.floor(disk.freeMb) });
  }
  if (!running) need('daemon_away');
  else if (isOld(heartbeatMs, nowMs)) need('heartbeat_late');
  for (const what of live?.unhealthy ?? []) need('clockwork', { what });
  if ((live?.config_problems.length ?? 0) > 0) need('config_refused');
  for (const changes of status.doubts.siteChanges) {
    needs.push({ code: 'site_changed', facts: {}, changes });
  }
  for (const { output, orderId: order, ...last } of orders) {
    if (last.lastAnswer !== 'rejected' || last.validUntilMs <= nowMs) continue;
    need('order_refused', { output, order, got: last.lastDetail });
  }
  for (const { output, orderId: order, atMs, lastDetail: got } of open) {
    if (nowMs - atMs < ORDER_PATIENCE_MS) continue;
    need('order_open', { output, order, got, isMute: yes(got === '') });
  }
  for (const { output, ok, detail } of live?.outputs ?? []) {
    if (!ok) need('output_away', { output, what: detail });
  }
  for (const { output, detail: got, unseen_since, put_right_of_late } of live?.read_back ?? []) {
    if (unseen_since !== null && nowMs - Date.parse(unseen_since) > UNSEEN_PATIENCE_MS) {
      need('output_unseen', { output, got, isMute: yes(got === '') });
    }
    if (put_right_of_late > MAX_PUT_RIGHT) {
      need('output_changed', { output, times: put_right_of_late, got, isMute: yes(got === '') });
    }
  }
  for (const { place, detail: got } of live?.left_places ?? [])
    need('place_left', { where: place, got });
  const planned = newest?.stored.plan.siteDay === status.siteDay && status.planFault === null;
  if (status.morningOwed && !planned) {
    const got = status.planFault?.what ?? '';
    need('plan_missing', { got, isMute: yes(got === '') });
  }
  for (const { beds, who, why, untilMs } of holds) {
    const isOver = yes(untilMs !== null && nowMs >= untilMs);
    need('hold_open', { beds: bedsFact(beds), who, why, isOver });
  }
  if (newest?.standing.kind === 'held' && nowMs < newest.stored.plan.endMs) {
    const { siteDay, revision } = newest.stored.plan;
    need('plan_held', { revision, siteDay });
  }
  if (live !== null && live.page === null) need('page_away');
  return needs;
}

/** As messages choose by it. */
function yes(is: boolean): 'yes' | 'no' {
  return is ? 'yes' : 'no';
}

function isOld(heartbeatMs: number | null, nowMs: number): boolean {
  return heartbeatMs === null || Math.abs(nowMs - heartbeatMs) > HEARTBEAT_LATE_MS;
}
