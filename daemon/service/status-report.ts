import { display } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { LoadedConfig } from '../site/config/config.ts';
import { sayStanding } from '../words/confirm-words.ts';
import type { Need } from './needs.ts';
import type { ReceivedOrder, SiteStatus } from './site-status.ts';

/** The status for a person: what needs one first, then how everything stands. */
export function statusLines(
  status: SiteStatus,
  needs: readonly Need[],
  config: Pick<LoadedConfig, 'site' | 'clock'>,
): string[] {
  const { site, clock } = config;
  const { nowMs, daemon, newest, inForce, nextRun, driest, disk } = status;
  const ago = (instantMs: number) => duration(nowMs - instantMs);
  const row = (name: string, text: string) => `${name.padEnd(15)}${text}`;
  const none = 'none';
  const lines = [
    `${site.name}, ${status.siteDay}, ${clock.timeOf(nowMs)}`,
    '',
    ...(needs.length === 0 ? ['All is well: nothing needs a person now.'] : ['Needs a person:']),
    ...needs.map(({ code, text }) => `  ${code}: ${text}`),
    '',
    row('daemon', status.running ? daemonLine(status) : 'not running'),
  ];
  if (daemon !== null && status.running) lines.push(row('page', daemon.page ?? 'not served'));
  for (const problem of status.running ? (daemon?.config_problems ?? []) : []) {
    lines.push(row('config', problem));
  }
  if (newest === null) {
    lines.push(row('newest plan', none));
  } else {
    const { plan, digest } = newest.stored;
    const { source, asOfMs } = plan.weather;
    lines.push(
      row(
        'newest plan',
        `${plan.siteDay} r${plan.revision} ${digest.slice(0, 8)}, made ${ago(plan.madeAtMs)} ago`,
      ),
      row('', sayStanding(newest.standing, clock)),
      row('weather', `${source}, ${asOfMs === null ? 'age not told' : `${ago(asOfMs)} old`}`),
    );
  }
  lines.push(
    row(
      'in force',
      inForce === null
        ? none
        : `${inForce.siteDay} r${inForce.revision} ${inForce.digest.slice(0, 8)}${inForce.heldBedIds.length === 0 ? '' : `, without ${inForce.heldBedIds.join(', ')}`}`,
    ),
    row(
      'next cycle',
      nextRun === null
        ? none
        : `${clock.timeOf(nextRun.startMs)} ${nextRun.bedId}, station ${nextRun.stationId}, in ${duration(nextRun.startMs - nowMs)}`,
    ),
    row('driest bed', driest === null ? none : driestLine(driest, nowMs, inForce !== null)),
    ...listed(
      'holds',
      status.holds.map((hold) => {
        const until = hold.untilMs === null ? '' : `, meant until ${clock.isoOf(hold.untilMs)}`;
        return `${bedsOf(hold.beds)}, ${hold.who}: ${hold.why}, for ${ago(hold.atMs)}${until}`;
      }),
    ),
    ...listed(
      'keep-offs',
      status.keepOffs.map((one) => {
        const until = one.untilMs === null ? 'until ended' : `until ${clock.isoOf(one.untilMs)}`;
        return `${bedsOf(one.beds)}, ${one.who}: ${one.why}, ${until} (id ${one.keepOffId})`;
      }),
    ),
    ...listed(
      'orders',
      status.orders.map((order) => {
        const detail = order.lastDetail === '' ? '' : `, ${order.lastDetail}`;
        return `${order.output}: ${order.kind} ${order.orderId}, ${ago(order.atMs)} old, ${order.lastAnswer ?? 'not sent yet'}${detail}${receiverOf(order)}`;
      }),
    ),
    ...listed(
      'outputs',
      (status.running ? (daemon?.outputs ?? []) : []).map(
        ({ output, ok, detail }) => `${output}: ${ok ? 'well' : 'AWAY'}, ${detail}`,
      ),
    ),
    row(
      'disk',
      `database ${disk.databaseMb.toFixed(1)} MB, ${disk.freeMb === null ? 'free space not told' : `${Math.floor(disk.freeMb)} MB free`}`,
    ),
  );
  return lines;

  function listed(name: string, items: readonly string[]): string[] {
    if (items.length === 0) return [row(name, none)];
    return items.map((item, index) => row(index === 0 ? name : '', item));
  }
}

function daemonLine({ daemon, heartbeatMs, nowMs }: SiteStatus): string {
  if (daemon === null || heartbeatMs === null) return 'running, no word from it yet';
  return `running, process ${daemon.pid}, last word ${duration(nowMs - heartbeatMs)} ago`;
}

function driestLine(driest: { bedId: string; dryAtMs: number }, nowMs: number, watered: boolean) {
  const when = driest.dryAtMs <= nowMs ? 'dry now' : `dry in ${duration(driest.dryAtMs - nowMs)}`;
  return `${driest.bedId}, ${when}${watered ? ' with the plan in force' : ' without water'}`;
}

function bedsOf(beds: 'all' | readonly string[]): string {
  return beds === 'all' ? 'everything' : beds.join(', ');
}

function duration(lengthMs: number): string {
  const s = Math.max(Math.round(lengthMs / 1000), 0);
  const rounded = s < 600 ? s : Math.round(s / 60) * 60;
  return display('metric').duration(rounded);
}

function receiverOf({ receipt }: ReceivedOrder): string {
  if (receipt === undefined) return '';
  const detail = receipt.detail === '' ? '' : `, ${receipt.detail}`;
  return `; its receiver: ${receipt.answer}${detail}`;
}

/** The status as JSON: the same words in snake case, instants as ISO 8601 with the site's offset. */
export function statusDocument(
  status: SiteStatus,
  needs: readonly Need[],
  config: Pick<LoadedConfig, 'site' | 'clock'>,
): Record<string, unknown> {
  const { site, clock } = config;
  const at = (instantMs: number | null) => (instantMs === null ? null : clock.isoOf(instantMs));
  const { daemon, nextRun, driest, disk, holds, keepOffs, orders, open } = status;
  return {
    format: 'dewbeat-site-status',
    format_version: 1,
    at: at(status.nowMs),
    site_id: site.id,
    site_name: site.name,
    site_day: status.siteDay,
    needs: needs.map(({ code, text }) => ({ code, text })),
    running: status.running,
    daemon,
    newest_plan: newestPlan(status, clock),
    plan_in_force:
      status.inForce === null
        ? null
        : {
            site_day: status.inForce.siteDay,
            revision: status.inForce.revision,
            digest: status.inForce.digest,
            held_beds: status.inForce.heldBedIds,
          },
    next_run:
      nextRun === null
        ? null
        : {
            bed: nextRun.bedId,
            station: nextRun.stationId,
            start: at(nextRun.startMs),
            run_s: Math.round(nextRun.runS),
          },
    driest: driest === null ? null : { bed: driest.bedId, dry_at: at(driest.dryAtMs) },
    holds: holds.map((hold) => ({
      beds: hold.beds,
      who: hold.who,
      why: hold.why,
      at: at(hold.atMs),
      until: at(hold.untilMs),
    })),
    keep_offs: keepOffs.map((one) => ({
      keep_off_id: one.keepOffId,
      beds: one.beds,
      who: one.who,
      why: one.why,
      at: at(one.atMs),
      until: at(one.untilMs),
    })),
    orders: orders.map((order) => ({
      output: order.output,
      order_id: order.orderId,
      kind: order.kind,
      at: at(order.atMs),
      attempts: order.attempts,
      last_attempt_at: at(order.lastAttemptMs),
      last_answer: order.lastAnswer,
      last_detail: order.lastDetail,
      receiver:
        order.receipt === undefined
          ? null
          : {
              answer: order.receipt.answer,
              detail: order.receipt.detail,
              at: at(order.receipt.atMs),
            },
    })),
    open_orders: open.length,
    database_mb: Math.round(disk.databaseMb * 10) / 10,
    disk_free_mb: disk.freeMb === null ? null : Math.round(disk.freeMb),
  };
}

function newestPlan({ newest }: SiteStatus, clock: SiteClock): Record<string, unknown> | null {
  if (newest === null) return null;
  const { plan, digest } = newest.stored;
  const { asOfMs, source } = plan.weather;
  return {
    site_day: plan.siteDay,
    revision: plan.revision,
    digest,
    made_at: clock.isoOf(plan.madeAtMs),
    standing: newest.standing.kind,
    weather_source: source,
    weather_as_of: asOfMs === null ? null : clock.isoOf(asOfMs),
  };
}
