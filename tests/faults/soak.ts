import { mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pino from 'pino';
import { openOutputs } from '../../daemon/delivery/open-outputs.ts';
import { makePlan } from '../../daemon/planning/make-plan.ts';
import { jobsOf } from '../../daemon/service/jobs/list.ts';
import { confirmPlan, holdWater, planInForce } from '../../daemon/site/gate/gate.ts';
import { siteInUseOf } from '../../daemon/site/gate/site-changes.ts';
import { ALL_CAUTIONS } from '../../daemon/site/gate/valid-confirm.ts';
import { DATABASE_FILE, openDatabase } from '../../daemon/site/store/database.ts';
import { addFieldReport } from '../../daemon/site/store/field-reports.ts';
import { newestPlan } from '../../daemon/site/store/plans.ts';
import { random } from './simulation/random.ts';
import { inventedWeather, smallSite } from './simulation/small-site.ts';

const MIN_MS = 60_000;
const DAY_MIN = 24 * 60;
/** Heap and handles of the last days may not be above those of the first by more than this. */
const MOST_GROWTH_MB = 12;

/**
 * Days at high speed: every job each simulated minute, weather that changes, confirms, holds and
 * receipts, with real files as outputs. Heap and file handles have to stay flat.
 */
export async function soak(asked: {
  days: number;
  seed: number;
  onDay?(day: number): void;
}): Promise<{ lines: string[]; isGood: boolean }> {
  const { days, seed } = asked;
  const rng = random(seed);
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-soak-'));
  try {
    const config = smallSite(folder);
    const db = openDatabase(config.dataFolder);
    let nowMs = Date.parse('2026-07-01T04:00:00-04:00');
    const now = () => nowMs;
    const log = pino({ level: 'silent' });
    const weather = inventedWeather((startMs) => 5 * Math.sin(startMs / 31e6) + rng.next());
    const outputs = await openOutputs(config, { now, log, report: () => undefined });
    for (const output of outputs.values()) await output.start();
    const jobs = jobsOf({ config, db, weather, log, now, outputs });
    const gate = () => ({
      db,
      clock: config.clock,
      site: siteInUseOf(config),
      outputs: [...outputs.keys()],
      nowMs,
    });
    const reported = new Set<string>();
    const counts = { confirms: 0, holds: 0, reports: 0 };

    const confirm = () => {
      const newest = newestPlan(db);
      if (newest === null) return;
      const result = confirmPlan(gate(), {
        revision: newest.plan.revision,
        digest: newest.digest,
        who: 'Person 1 (invented)',
        cautions: ALL_CAUTIONS.map(({ code }) => code),
      });
      if (result.ok) counts.confirms += 1;
    };
    const report = () => {
      for (const run of planInForce(db, nowMs)?.plan.runs ?? []) {
        const { stationId, startMs, runS } = run;
        const atMs = startMs + runS * 1000;
        const key = `${stationId} ${startMs}`;
        if (atMs > nowMs || atMs < nowMs - 2 * MIN_MS || reported.has(key)) continue;
        reported.add(key);
        addFieldReport(
          db,
          { kind: 'ran', output: 'field', stationId, startMs, runS, flowLPerMin: 200, atMs },
          nowMs,
        );
        counts.reports += 1;
      }
    };

    const samples: { day: number; heapMb: number; handles: number; databaseMb: number }[] = [];
    for (let day = 1; day <= days; day++) {
      for (let minute = 0; minute < DAY_MIN; minute++) {
        nowMs += MIN_MS;
        for (const { work } of jobs) await work();
        report();
        if (minute % 60 === 40) confirm();
        if (rng.chance(0.3 / DAY_MIN)) {
          holdWater(gate(), {
            who: 'Person 2 (invented)',
            why: 'tried',
            beds: 'all',
            untilMs: null,
          });
          counts.holds += 1;
          await makePlan(
            { db, config, weather, nowMs },
            { cause: 'person', who: 'Person 2 (invented)', lift: 'all' },
          );
        }
      }
      reported.clear();
      globalThis.gc?.();
      samples.push({
        day,
        heapMb: process.memoryUsage().heapUsed / 1e6,
        handles: openHandles(),
        databaseMb: databaseMb(config.dataFolder),
      });
      asked.onDay?.(day);
    }
    for (const output of outputs.values()) await output.stop();
    db.close();
    return told(samples, counts);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function told(
  samples: readonly { day: number; heapMb: number; handles: number; databaseMb: number }[],
  counts: Record<string, number>,
): { lines: string[]; isGood: boolean } {
  const third = Math.max(1, Math.floor(samples.length / 3));
  const mean = (of: readonly { heapMb: number }[]) =>
    of.reduce((sum, one) => sum + one.heapMb, 0) / of.length;
  const growthMb = mean(samples.slice(-third)) - mean(samples.slice(0, third));
  const handles = samples.map((one) => one.handles);
  const moreHandles = Math.max(...handles.slice(-third)) - Math.max(...handles.slice(0, third));
  const shown = samples.filter(({ day }) => day === 1 || day % 5 === 0);
  return {
    lines: [
      `${samples.length} days; ${Object.entries(counts)
        .map(([what, times]) => `${times} ${what}`)
        .join(', ')}`,
      ...shown.map(
        ({ day, heapMb, handles: open, databaseMb }) =>
          `  day ${day}: heap ${heapMb.toFixed(1)} MB, ${open} file handles, database ${databaseMb.toFixed(1)} MB`,
      ),
      `the last third against the first: heap ${growthMb >= 0 ? '+' : ''}${growthMb.toFixed(1)} MB, file handles ${moreHandles >= 0 ? '+' : ''}${moreHandles}`,
    ],
    isGood: growthMb <= MOST_GROWTH_MB && moreHandles <= 1,
  };
}

/** The database with its log of what is not yet folded in. */
function databaseMb(dataFolder: string): number {
  const files = readdirSync(dataFolder).filter((name) => name.startsWith(DATABASE_FILE));
  return files.reduce((sum, name) => sum + statSync(join(dataFolder, name)).size, 0) / 1e6;
}

/** File handles of this process; 0 where the system does not show them. */
function openHandles(): number {
  try {
    return readdirSync('/proc/self/fd').length;
  } catch {
    return 0;
  }
}
