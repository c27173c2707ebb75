import type { SiteClock } from '../../adapters/site-clock.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import type { Need } from './needs.ts';
import type { SiteStatus } from './site-status.ts';

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
