import { collectDefaultMetrics, Gauge, Registry } from 'prom-client';
import type { LoadedConfig } from '../site/config/config.ts';
import type { Db } from '../site/store/database.ts';
import { answerCounts } from '../site/store/outbox.ts';
import type { DaemonStatus } from '../site/store/running-daemon.ts';
import type { RoundRecord } from './jobs/job.ts';
import { type SiteStatus, siteStatus } from './site-status.ts';

/** Where the figures come from, read anew at each request. */
export interface MetricsSources {
  db: Db;
  now(): number;
  config(): LoadedConfig;
  status(): DaemonStatus;
  rounds(): readonly RoundRecord[];
}

const STANDINGS = ['held', 'confirmed', 'stopped', 'replaced'] as const;

/** Figures of the site and of the process in the Prometheus text format. Made once a process. */
export function operationsMetrics(
  sources: MetricsSources,
): () => Promise<{ type: string; text: string }> {
  const register = new Registry();
  collectDefaultMetrics({ register });
  const gauge = <Label extends string>(name: string, help: string, labelNames: Label[]) =>
    new Gauge<Label>({ name: `dewbeat_${name}`, help, labelNames, registers: [register] });
  const plain = (name: string, help: string) => {
    const of = gauge(name, help, []);
    // A figure that is not known is left out: 0 would be a lie.
    return (value: number | null) => (value === null ? of.remove() : of.set(value));
  };

  const planAge = plain('plan_age_seconds', 'Age of the newest plan');
  const standing = gauge('plan_standing', '1 at the standing of the newest plan', ['standing']);
  const inForce = plain('plan_in_force', '1 while a confirmed plan may still run');
  const driest = gauge(
    'driest_bed_minutes',
    'Minutes until the first bed reaches its dry limit, as the plans know',
    ['bed'],
  );
  const openOrders = gauge('open_orders', 'Orders not yet taken or refused', ['output']);
  const answers = gauge('answers', 'Answers of outputs ever written down', ['output', 'answer']);
  const outputUp = gauge('output_up', '1 while the output is well', ['output']);
  const holds = plain('holds', 'Open holds');
  const keepOffs = plain('keep_offs', 'Standing keep-offs put on by persons');
  const weatherAge = plain('weather_age_seconds', 'Age of the newest weather in the newest plan');
  const notices = gauge('notices', 'Notices of the newest plan', ['code', 'severity']);
  const warnings = gauge('warnings', 'Warnings of the newest plan', ['code']);
  const tookS = gauge('round_seconds', 'How long the last round of a job took', ['duty']);
  const rounds = gauge('rounds', 'Rounds of a job since its start', ['duty']);
  const faults = gauge('round_failures', 'Rounds of a job that failed since its start', ['duty']);
  const writable = plain('database_writable', '1 while the database can be written');
  const databaseMb = plain('database_megabytes', 'Size of the database');
  const freeMb = plain('disk_free_megabytes', 'Free space beside the database');

  function refresh(): void {
    const daemon = sources.status();
    const { db } = sources;
    const nowMs = sources.now();
    const site = siteStatus({ db, config: sources.config(), nowMs, running: true, daemon });
    for (const one of [standing, driest, openOrders, answers, outputUp, notices, warnings]) {
      one.reset();
    }
    for (const one of [tookS, rounds, faults]) one.reset();
    ofPlan(site);
    inForce(site.inForce === null ? 0 : 1);
    if (site.driest !== null) {
      driest.set({ bed: site.driest.bedId }, (site.driest.dryAtMs - nowMs) / 60_000);
    }
    for (const { name } of sources.config().outputs) openOrders.set({ output: name }, 0);
    for (const { output } of site.open) openOrders.inc({ output });
    for (const { output, answer, count } of answerCounts(db)) {
      answers.set({ output, answer }, count);
    }
    for (const { output, ok } of daemon.outputs) outputUp.set({ output }, ok ? 1 : 0);
    holds(site.holds.length);
    keepOffs(site.keepOffs.length);
    for (const one of sources.rounds()) {
      if (one.tookMs !== null) tookS.set({ duty: one.name }, one.tookMs / 1000);
      rounds.set({ duty: one.name }, one.rounds);
      faults.set({ duty: one.name }, one.faults);
    }
    writable(daemon.database_fault === null ? 1 : 0);
    databaseMb(site.disk.databaseMb);
    freeMb(site.disk.freeMb);
  }

  function ofPlan({ newest, nowMs }: SiteStatus): void {
    planAge(newest === null ? null : (nowMs - newest.stored.plan.madeAtMs) / 1000);
    const asOfMs = newest?.stored.plan.weather.asOfMs ?? null;
    weatherAge(asOfMs === null ? null : (nowMs - asOfMs) / 1000);
    if (newest === null) return;
    for (const kind of STANDINGS) {
      standing.set({ standing: kind }, kind === newest.standing.kind ? 1 : 0);
    }
    for (const { code, severity } of newest.stored.plan.notices) notices.inc({ code, severity });
    for (const { code } of newest.stored.plan.warnings) warnings.inc({ code });
  }

  return async () => {
    refresh();
    return { type: register.contentType, text: await register.metrics() };
  };
}
