import pino from 'pino';
import type { Output } from '../../adapters/contract.ts';
import { standingRuns } from '../../adapters/plan-document.ts';
import { openOutputs } from '../../daemon/delivery/open-outputs.ts';
import { makePlan } from '../../daemon/planning/make-plan.ts';
import { jobsOf } from '../../daemon/service/jobs/list.ts';
import { confirmPlan, planInForce } from '../../daemon/site/gate/gate.ts';
import { siteInUseOf } from '../../daemon/site/gate/site-changes.ts';
import { cautionsFor } from '../../daemon/site/gate/valid-confirm.ts';
import { openDatabase } from '../../daemon/site/store/database.ts';
import { addFieldReport } from '../../daemon/site/store/field-reports.ts';
import { newestConfirmation, newestPlan } from '../../daemon/site/store/plans.ts';
import { dewbeat } from '../daemon/command-line.ts';
import { ACTIONS } from './actions.ts';
import { FIRST_DAY_MS, inventedWeather, layOut, SEASON_DAYS } from './site.ts';

const MIN_MS = 60_000;
const STEP_MIN = 1;
const L_PER_GAL = 3.785411784;
/** From this day on a receiver reports what ran; one valve sticks for an afternoon. */
const RECEIVER_DAY = 13;
const STUCK = { stationId: 'g2-b', day: 18 };
/** Days on which the meter is read, and what the pipes lose beside the sprinklers. */
const METER_DAYS = [0, 7, 14, 21, 28];
const LEAK_FRACTION = 0.03;

/**
 * Lives an invented season of thirty days through the real jobs, gate and commands with a clock
 * of its own, and leaves the site's folder as a keeper would have it at the end.
 */
export async function liveSeason(folder: string, onDay?: (day: number) => void): Promise<number> {
  const config = layOut(folder);
  const db = openDatabase(config.dataFolder);
  let nowMs = FIRST_DAY_MS + 4 * 3_600_000;
  const now = () => nowMs;
  const log = pino({ level: 'silent' });
  const outputs: Map<string, Output> = await openOutputs(config, {
    now,
    log,
    report: () => undefined,
  });
  for (const output of outputs.values()) await output.start();
  const jobs = jobsOf({ config, db, weather: inventedWeather, log, now, outputs });
  const command = async (args: readonly string[]) => {
    const said = await dewbeat(args, { cwd: folder, nowMs });
    if (said.code !== 0) throw new Error(`dewbeat ${args.join(' ')}: ${said.err}`);
  };
  const done = new Set<number>();
  const reported = new Set<string>();
  const lastRunMs = new Map<string, number>();
  let drawnL = 0;

  /** The valves: they open when the plan in force says so, but for the one that sticks. */
  const runValves = (day: number) => {
    const inForce = planInForce(db, nowMs);
    // What was missed at the confirm is no run of a valve.
    for (const { stationId, startMs, runS } of inForce === null ? [] : standingRuns(inForce)) {
      const endMs = startMs + runS * 1000;
      const key = `${stationId} ${startMs}`;
      if (endMs > nowMs || endMs < nowMs - 60 * MIN_MS || reported.has(key)) continue;
      reported.add(key);
      lastRunMs.set(stationId, startMs);
      const isStuck = day === STUCK.day && stationId === STUCK.stationId;
      if (isStuck) continue;
      const flowLPerMin =
        config.site.stations.find((one) => one.id === stationId)?.flowLPerMin ?? 0;
      drawnL += (flowLPerMin * runS * (1 + LEAK_FRACTION)) / 60;
      if (day < RECEIVER_DAY) continue;
      const kind = 'ran' as const;
      addFieldReport(
        db,
        { kind, output: 'field', stationId, startMs, runS, flowLPerMin, atMs: endMs },
        nowMs,
      );
    }
  };
  const confirm = () => {
    const newest = newestPlan(db);
    if (newest === null || newestConfirmation(db)?.stored.planId === newest.planId) return;
    confirmPlan(
      { db, clock: config.clock, site: siteInUseOf(config), outputs: [...outputs.keys()], nowMs },
      {
        revision: newest.plan.revision,
        digest: newest.digest,
        who: 'A. Keeper (invented)',
        cautions: cautionsFor(newest.plan).map(({ code }) => code),
      },
    );
  };

  try {
    for (let day = 0; day < SEASON_DAYS; day++) {
      const siteDay = config.clock.addDays(config.clock.siteDayOf(FIRST_DAY_MS), day);
      const endMs = config.clock.startOf(config.clock.addDays(siteDay, 1));
      // Nobody is there on the fourth Sunday; the last day ends in the evening.
      const isWatched = day !== 23;
      const lastMs = day === SEASON_DAYS - 1 ? endMs - 4 * 3_600_000 : endMs;
      while (nowMs < lastMs) {
        for (const { work } of jobs) await work();
        runValves(day);
        const time = config.clock.timeOf(nowMs);
        if (METER_DAYS.includes(day) && time === '05:00' && !done.has(-1 - day)) {
          done.add(-1 - day);
          const gallons = Math.round(1_204_330 + drawnL / L_PER_GAL);
          await command(['meter', '--read', `${gallons} gal`, '--who', 'B. Hand (invented)']);
        }
        for (const [index, action] of ACTIONS.entries()) {
          if (action.day !== day || action.at > time || done.has(index)) continue;
          done.add(index);
          await command(
            action.args.map((arg) => (arg === '{START}' ? lastStart(action.args) : arg)),
          );
        }
        if (day === 11 && time === '12:30') await lift();
        if (isWatched && time.slice(0, 2) >= '06' && time.endsWith(':50')) confirm();
        nowMs += STEP_MIN * MIN_MS;
      }
      onDay?.(day + 1);
    }
  } finally {
    for (const output of outputs.values()) await output.stop();
    db.close();
  }
  return nowMs;

  /** When the station named in an action last began, as a person would write it. */
  function lastStart(args: readonly string[]): string {
    const stationId = args[args.indexOf('--station') + 1] ?? '';
    const startMs = lastRunMs.get(stationId);
    if (startMs === undefined) throw new Error(`no run of ${stationId} before now`);
    return config.clock.isoOf(startMs);
  }

  async function lift() {
    await makePlan(
      { db, config, weather: inventedWeather, nowMs },
      { cause: 'person', who: 'A. Keeper (invented)', lift: 'all' },
    );
    confirm();
  }
}
