import { HEARTBEAT_MS } from '../site/store/running-daemon.ts';
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
  /** What is wrong and what to do, in one sentence. */
  text: string;
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
  const need = (code: NeedCode, text: string) => needs.push({ code, text });
  const live = running ? daemon : null;

  for (const code of ['database_gone', 'lock_gone'] as const) {
    // The lock may be the very file that is gone: what the daemon says of it counts all the same.
    const gone = daemon?.[code] ?? null;
    if (gone === null || (!running && isOld(heartbeatMs, nowMs))) continue;
    need(
      code,
      `${gone}; nothing is delivered: stop the daemon, put it back or restore a backup, start again`,
    );
  }
  if (live?.database_fault) {
    need(
      'database_fault',
      `the database refuses to be written (got ${live.database_fault}); free some space or mend its rights`,
    );
  }
  for (const altered of status.doubts.altered) {
    need(
      'store_altered',
      `${altered}; nothing of it runs: find out who writes to the database, make a fresh plan with \`dewbeat plan --lift\` and confirm it`,
    );
  }
  if (disk.freeMb !== null && disk.freeMb < MIN_FREE_MB) {
    need('disk_low', `only ${Math.floor(disk.freeMb)} MB are free; free some space`);
  }
  if (!running) {
    need('daemon_away', 'no daemon runs: nothing is planned or sent; start it with `dewbeat run`');
  } else if (isOld(heartbeatMs, nowMs)) {
    need(
      'heartbeat_late',
      'the daemon holds the data folder and says nothing; look at its log, start it again',
    );
  }
  for (const wrong of live?.unhealthy ?? []) need('clockwork', `${wrong}; start the daemon again`);
  if ((live?.config_problems.length ?? 0) > 0) {
    need(
      'config_refused',
      'the config was refused at the last reload and the one before goes on; correct it and reload',
    );
  }
  for (const changes of status.doubts.siteChanges) {
    need(
      'site_changed',
      `the site is no longer what the plan was made for (${changes}); make a fresh one with \`dewbeat plan --lift\` and confirm it`,
    );
  }
  for (const order of orders) {
    if (order.lastAnswer !== 'rejected' || order.validUntilMs <= nowMs) continue;
    need(
      'order_refused',
      `${order.output} refused ${order.orderId} (got ${order.lastDetail}); mend that, make a fresh plan and confirm it`,
    );
  }
  for (const order of open) {
    if (nowMs - order.atMs < ORDER_PATIENCE_MS) continue;
    const got = order.lastDetail === '' ? 'no answer' : order.lastDetail;
    need(
      'order_open',
      `${order.output} has not taken ${order.orderId} (got ${got}); look at what receives it`,
    );
  }
  for (const { output, ok, detail } of live?.outputs ?? []) {
    if (!ok) need('output_away', `${output}: ${detail}; nothing reaches it until it is back`);
  }
  for (const { output, detail, unseen_since, put_right_of_late } of live?.read_back ?? []) {
    if (unseen_since !== null && nowMs - Date.parse(unseen_since) > UNSEEN_PATIENCE_MS) {
      need(
        'output_unseen',
        `${output}: nobody can see what stands there (got ${detail || 'no answer'}); give the daemon the right to read it, or look there yourself after a hold`,
      );
    }
    if (put_right_of_late > MAX_PUT_RIGHT) {
      need(
        'output_changed',
        `${output}: was put right ${put_right_of_late} times within ten minutes (last ${detail || 'as wanted again'}); find out who else writes there`,
      );
    }
  }
  for (const { place, detail } of live?.left_places ?? []) {
    need(
      'place_left',
      `${place}: no output writes there any more, and runs may stand there (got ${detail}); make it reachable, or stop its valves by hand`,
    );
  }
  const planned = newest?.stored.plan.siteDay === status.siteDay && status.planFault === null;
  if (status.morningOwed && !planned) {
    const why = status.planFault === null ? '' : ` (got ${status.planFault.what})`;
    need('plan_missing', `today has no plan${why}; mend that, or make one with \`dewbeat plan\``);
  }
  for (const hold of holds) {
    const beds = hold.beds === 'all' ? 'everything' : hold.beds.join(', ');
    need(
      'hold_open',
      `${beds} on hold by ${hold.who} (${hold.why})${hold.untilMs !== null && nowMs >= hold.untilMs ? ', though its time is over' : ''}; \`dewbeat plan --lift\` and confirm to water again`,
    );
  }
  if (newest?.standing.kind === 'held' && nowMs < newest.stored.plan.endMs) {
    const { siteDay, revision } = newest.stored.plan;
    need(
      'plan_held',
      `revision ${revision} of ${siteDay} waits for a person; \`dewbeat show\`, then confirm it`,
    );
  }
  if (live !== null && live.page === null) {
    need('page_away', 'the page cannot be served; free its port or name another page.port');
  }
  return needs;
}

function isOld(heartbeatMs: number | null, nowMs: number): boolean {
  return heartbeatMs === null || Math.abs(nowMs - heartbeatMs) > HEARTBEAT_LATE_MS;
}
