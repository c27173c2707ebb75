import { display } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import { bedsFact } from '../coded.ts';
import type { LoadedConfig } from '../site/config/config.ts';
import { sayStanding, withStopped } from '../words/confirm-words.ts';
import { sayStopped } from '../words/keep-dry-words.ts';
import type { Say } from '../words/language.ts';
import { type Reader, sayTo } from '../words/plan-words.ts';
import { type Need, sayNeed } from './needs.ts';
import type { ReceivedOrder, SiteStatus } from './site-status.ts';

/** The status for a person: what needs one first, then how everything stands. */
export function statusLines(
  status: SiteStatus,
  needs: readonly Need[],
  { site, reader, clock }: { site: LoadedConfig['site']; reader: Reader; clock: SiteClock },
): string[] {
  const { nowMs, daemon, newest, inForce, nextRun, driest, disk } = status;
  const say = sayTo(reader);
  const ago = (instantMs: number) => duration(nowMs - instantMs);
  const row = (name: string, text: string) => `${name.padEnd(15)}${text}`;
  const none = say('status.none');
  const listed = (name: string, items: readonly string[]): string[] => {
    if (items.length === 0) return [row(name, none)];
    return items.map((item, index) => row(index === 0 ? name : '', item));
  };
  const lines = [
    `${site.name}, ${status.siteDay}, ${clock.timeOf(nowMs)}`,
    '',
    say(needs.length === 0 ? 'status.all_is_well' : 'status.needs_a_person'),
    ...needs.map((need) => `  ${need.code}: ${sayNeed(need, reader)}`),
    '',
    row(say('status.daemon'), status.running ? daemonLine(status, say) : say('status.not_running')),
  ];
  if (daemon !== null && status.running) {
    lines.push(row(say('status.page'), daemon.page ?? say('status.not_served')));
  }
  for (const problem of status.running ? (daemon?.config_problems ?? []) : []) {
    lines.push(row(say('status.config'), problem));
  }
  if (newest === null) {
    lines.push(row(say('status.newest_plan'), none));
  } else {
    const { plan, digest } = newest.stored;
    const { source, asOfMs } = plan.weather;
    const made = { ...planValues(plan, digest), ago: ago(plan.madeAtMs) };
    const weather =
      asOfMs === null
        ? say('weather_line.age_unknown', { source })
        : say('weather_line', { source, age: ago(asOfMs) });
    lines.push(
      row(say('status.newest_plan'), say('status.plan_made', made)),
      row('', sayStanding(newest.standing, reader)),
      row(say('status.weather'), weather),
    );
  }
  lines.push(
    row(say('status.in_force'), inForce === null ? none : inForceLine(inForce, say)),
    row(
      say('status.next_cycle'),
      nextRun === null
        ? none
        : say('status.next_run', {
            at: clock.timeOf(nextRun.startMs),
            bed: nextRun.bedId,
            station: nextRun.stationId,
            in: duration(nextRun.startMs - nowMs),
          }),
    ),
    row(say('status.driest'), driest === null ? none : driestLine(status, driest, say)),
    ...listed(
      say('status.stops'),
      status.holds.map((hold) => sayStopped(hold, reader, nowMs)),
    ),
    ...listed(
      say('status.keep_offs'),
      status.keepOffs.map((one) =>
        say('status.keep_off', {
          id: one.keepOffId,
          beds: bedsFact(one.beds),
          who: one.who,
          why: one.why,
          until: one.untilMs === null ? 'none' : clock.isoOf(one.untilMs),
        }),
      ),
    ),
    ...listed(
      say('status.orders'),
      status.orders.map((order) => orderLine(order, ago(order.atMs), say)),
    ),
    ...listed(
      say('status.outputs'),
      (status.running ? (daemon?.outputs ?? []) : []).map(({ output, ok, detail }) =>
        say('status.output', { output, is: ok ? 'well' : 'away', detail }),
      ),
    ),
    row(
      say('status.disk'),
      say('status.disk_use', {
        used: disk.databaseMb.toFixed(1),
        free: disk.freeMb === null ? 'unknown' : Math.floor(disk.freeMb),
      }),
    ),
  );
  return lines;
}

function planValues(plan: { siteDay: string; revision: number }, digest: string) {
  return { siteDay: plan.siteDay, revision: plan.revision, digest: digest.slice(0, 8) };
}

function daemonLine({ daemon, heartbeatMs, nowMs }: SiteStatus, say: Say): string {
  if (daemon === null || heartbeatMs === null) return say('status.no_word_yet');
  return say('status.running', { pid: daemon.pid, ago: duration(nowMs - heartbeatMs) });
}

function inForceLine(inForce: NonNullable<SiteStatus['inForce']>, say: Say): string {
  const line = say('status.plan', planValues(inForce, inForce.digest));
  return withStopped(line, inForce.heldBedIds, say);
}

function driestLine(
  { nowMs, inForce }: SiteStatus,
  { bedId: bed, dryAtMs }: { bedId: string; dryAtMs: number },
  say: Say,
): string {
  return say('status.driest_bed', {
    bed,
    isDry: dryAtMs <= nowMs ? 'yes' : 'no',
    in: duration(dryAtMs - nowMs),
    isWatered: inForce === null ? 'no' : 'yes',
  });
}

function orderLine(order: ReceivedOrder, age: string, say: Say): string {
  const { output, kind, orderId, lastAnswer, lastDetail, receipt } = order;
  const line = say('status.order', {
    output,
    kind,
    order: orderId,
    age,
    answer: say(`order_answer.${lastAnswer ?? 'waiting'}`),
    detail: lastDetail === '' ? '' : `, ${lastDetail}`,
  });
  if (receipt === undefined) return line;
  const detail = receipt.detail === '' ? '' : `, ${receipt.detail}`;
  return say('status.order_received', { line, answer: receipt.answer, detail });
}

function duration(lengthMs: number): string {
  const s = Math.max(Math.round(lengthMs / 1000), 0);
  const rounded = s < 600 ? s : Math.round(s / 60) * 60;
  return display('metric').duration(rounded);
}

/** The status as JSON: the same words in snake case, instants as ISO 8601 with the site's offset. */
export function statusDocument(
  status: SiteStatus,
  needs: readonly Need[],
  { site, reader, clock }: { site: LoadedConfig['site']; reader: Reader; clock: SiteClock },
): Record<string, unknown> {
  const at = (instantMs: number | null) => (instantMs === null ? null : clock.isoOf(instantMs));
  const { daemon, nextRun, driest, disk, holds, keepOffs, orders, open } = status;
  return {
    format: 'dewbeat-site-status',
    format_version: 1,
    at: at(status.nowMs),
    site_id: site.id,
    site_name: site.name,
    site_day: status.siteDay,
    needs: needs.map((need) => ({ code: need.code, text: sayNeed(need, reader) })),
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
