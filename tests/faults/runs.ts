import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connectAsync, type MqttClient } from 'mqtt';
import { planDigest, planDocument } from '../../adapters/plan-document.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { makePlan } from '../../daemon/planning/make-plan.ts';
import type { LoadedConfig } from '../../daemon/site/config/config.ts';
import { openWeather } from '../../daemon/site/config/open-weather.ts';
import { confirmPlan, holdWater } from '../../daemon/site/gate/gate.ts';
import { siteInUseOf } from '../../daemon/site/gate/site-changes.ts';
import { ALL_CAUTIONS } from '../../daemon/site/gate/valid-confirm.ts';
import { type Db, inTransaction, openDatabase } from '../../daemon/site/store/database.ts';
import { openHolds } from '../../daemon/site/store/holds-and-keep-offs.ts';
import { addPlan, newestPlan, newestPlanOf } from '../../daemon/site/store/plans.ts';
import { startBroker } from '../broker.ts';
import { earlySite } from './early-site.ts';
import { end, pause, startProgram, until } from './real-daemon.ts';
import { logKeeper } from './simulation/log-keeper.ts';
import { random } from './simulation/random.ts';
import { FLIGHT_MS, type RunMessage, valvePanel } from './valve-panel.ts';

const TOLERANCE_S = 4;
const MOST_AT_ONCE = 2;
const BEDS = 4;
/** How far ahead a plan of many short cycles reaches. */
const PLAN_S = 150;
const LONGEST_RUN_S = 10;

/** A hold as the person remembers it. */
interface Held {
  atMs: number;
  beds: 'all' | readonly string[];
}

/**
 * A real daemon that sends run by run over a real broker to a simulated valve panel, killed with
 * SIGKILL at random moments while people confirm plans of many short cycles and put on holds.
 */
export async function runs(asked: {
  kills: number;
  seed: number;
  onKill?(done: number): void;
}): Promise<{ lines: string[]; isGood: boolean }> {
  const rng = random(asked.seed);
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-runs-'));
  const broken: string[] = [];
  const counts = { kills: 0, confirms: 0, holds: 0, 'clean stops': 0 };
  const broker = await startBroker();
  let hears: MqttClient | null = null;
  try {
    const line = `{ output: mqtt, mode: runs, url: "${broker.url}", late_tolerance: ${TOLERANCE_S} s, most_at_once: ${MOST_AT_ONCE}, retry: 0.5 s, timeout: 2 s }`;
    const config = await earlySite(folder, { outputs: [line], beds: BEDS });
    const db = openDatabase(config.dataFolder);
    const weather = openWeather(config);
    const keeper = logKeeper(db);
    const promised = { toleranceMs: TOLERANCE_S * 1000, mostAtOnce: MOST_AT_ONCE };
    const panel = valvePanel(promised, (what) => broken.push(what));
    const bedOf = (station: string) => station.replace('s', 'g');
    const holds: Held[] = [];
    /** Runs of every confirmed plan; one that a later confirm replaced ends with that. */
    const confirmed: { fromMs: number; keys: Set<string> }[] = [];
    let shutAllMs = 0;

    hears = await connectAsync(broker.url, { protocolVersion: 5 });
    hears.on('message', (_, payload) => {
      const nowMs = Date.now();
      const message = JSON.parse(payload.toString('utf8')) as RunMessage;
      panel.hear(message, nowMs);
      if (message.seconds === 0) {
        if (message.station === '*') shutAllMs = nowMs;
        return;
      }
      const key = `${message.station} ${Date.parse(message.start)}`;
      const { order_id: orderId } = message;
      // What a confirm replaced may still be on its way for a moment, and nothing older.
      const newest = confirmed.at(-1);
      const justReplaced = newest && nowMs - newest.fromMs < FLIGHT_MS;
      const standing = confirmed.slice(justReplaced ? -2 : -1);
      if (!standing.some(({ keys }) => keys.has(key))) {
        broken.push(`${message.run_id}: in no confirmed plan in force (${orderId})`);
      }
      const since = confirmed.at(-1)?.fromMs ?? 0;
      for (const { atMs, beds } of holds) {
        const covers = beds === 'all' || beds.includes(bedOf(message.station));
        if (covers && atMs > since && nowMs > atMs + FLIGHT_MS) {
          broken.push(`${message.run_id}: came ${nowMs - atMs} ms after a hold`);
        }
      }
    });
    await hears.subscribeAsync('dewbeat/+/run', { qos: 1 });

    const gate = () => ({
      db,
      clock: config.clock,
      site: siteInUseOf(config),
      outputs: ['mqtt'],
      nowMs: Date.now(),
    });
    const confirm = async () => {
      if (newestPlan(db) === null) {
        await makePlan(
          { db, config, weather, nowMs: Date.now() },
          { cause: 'person', who: 'Person 1 (invented)', lift: 'all' },
        );
      }
      const stored = addShortCycles(db, config, rng);
      if (stored === null) return;
      const fromMs = Date.now();
      const result = confirmPlan(gate(), {
        ...stored,
        who: 'Person 2 (invented)',
        cautions: ALL_CAUTIONS.map(({ code }) => code),
      });
      if (!result.ok) {
        broken.push(`a fresh plan was refused: ${result.refusal.code}`);
        return;
      }
      confirmed.push({ fromMs, keys: new Set(result.plan.runs.map(keyOf)) });
      counts.confirms += 1;
    };
    const hold = () => {
      const beds = rng.chance(0.5) ? ('all' as const) : [rng.pick(config.site.beds).id];
      holdWater(gate(), { who: 'Person 1 (invented)', why: 'tried', beds, untilMs: null });
      holds.push({ atMs: Date.now(), beds });
      counts.holds += 1;
      return beds;
    };

    while (counts.kills < asked.kills) {
      const daemon = startProgram(folder);
      const livesMs = rng.chance(0.3) ? rng.whole(500, 2500) : rng.whole(3000, 9000);
      const endMs = Date.now() + livesMs;
      if (confirmed.length === 0 || rng.chance(0.5)) await confirm();
      while (Date.now() < endMs) {
        await pause(rng.whole(100, 800));
        if (rng.chance(0.05)) {
          hold();
          if (rng.chance(0.7)) await pause(rng.whole(0, 1500)).then(confirm);
        }
        keeper.look();
      }
      await end(daemon, 'SIGKILL');
      const deadMs = Date.now();
      counts.kills += 1;
      asked.onKill?.(counts.kills);
      await pause(50);
      const left = panel.on(Date.now()).map(({ untilMs }) => untilMs - deadMs);
      if (left.some((ms) => ms > (LONGEST_RUN_S + 1) * 1000)) {
        broken.push(`left on by a dead daemon for ${Math.max(...left)} ms`);
      }
      if (rng.chance(0.2)) {
        // Long enough that everything had to end by itself.
        await pause((LONGEST_RUN_S + 1) * 1000);
        if (panel.on(Date.now()).length > 0) broken.push('on long after the daemon died');
      }
      keeper.look();
    }

    const daemon = startProgram(folder);
    await pause(2500);
    await confirm();
    if (!(await until(() => panel.on(Date.now()).length > 0, 12_000))) {
      broken.push('nothing opened any more at the end, with a plan confirmed');
    }
    const heldMs = Date.now();
    holdWater(gate(), { who: 'Person 1 (invented)', why: 'end', beds: 'all', untilMs: null });
    holds.push({ atMs: Date.now(), beds: 'all' });
    counts.holds += 1;
    if (!(await until(() => shutAllMs >= heldMs, 5_000))) broken.push('a hold shut nothing');
    await confirm();
    await until(() => panel.on(Date.now()).length > 0, 12_000);
    const stopMs = Date.now();
    await end(daemon, 'SIGTERM');
    counts['clean stops'] += 1;
    await pause(300);
    if (shutAllMs < stopMs) broken.push('a clean stop did not shut everything');
    if (panel.on(Date.now()).length > 0) broken.push('on after a clean stop');
    keeper.look();
    broken.push(...keeper.judge());
    const events = eventsOf(db);
    if (panel.counts.opened < asked.kills / 2) broken.push('hardly anything was ever opened');
    db.close();
    const { opened, shut, expired, mostOn } = panel.counts;
    return {
      lines: [
        `${Object.entries(counts)
          .map(([what, times]) => `${times} ${what}`)
          .join(', ')}, ${keeper.rows()} rows kept`,
        `panel: ${opened} openings, ${shut} shuttings, ${expired} came expired, at most ${mostOn} stations on (${MOST_AT_ONCE} allowed)`,
        `memory: ${events.map(({ what, times }) => `${times} ${what}`).join(', ')}`,
        `broken promises: ${broken.length}`,
        ...broken.slice(0, 20).map((what) => `  ${what}`),
      ],
      isGood: broken.length === 0,
    };
  } finally {
    await hears?.endAsync(true);
    await broker.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Keeps a held plan of many short cycles that begin in the next seconds, on every bed. */
function addShortCycles(
  db: Db,
  config: LoadedConfig,
  rng: ReturnType<typeof random>,
): { revision: number; digest: string } | null {
  return inTransaction(db, () => {
    const base = newestPlan(db)?.plan;
    if (base === undefined) return null;
    const nowMs = Date.now();
    const made: Run[] = [];
    for (let bed = 1; bed <= BEDS; bed++) {
      let startMs = (Math.floor(nowMs / 1000) + rng.whole(1, 5)) * 1000;
      for (let cycle = 1; startMs < nowMs + PLAN_S * 1000; cycle++) {
        const runS = rng.whole(2, LONGEST_RUN_S);
        const depths = { rotations: 1, grossMm: 0.5, netMm: 0.5 };
        made.push({ bedId: `g${bed}`, stationId: `s${bed}`, startMs, runS, cycle, ...depths });
        startMs += (runS + rng.whole(3, 9)) * 1000;
      }
    }
    const revision = (newestPlanOf(db, base.siteDay)?.plan.revision ?? 0) + 1;
    const plan = { ...base, revision, madeAtMs: nowMs, runs: made };
    const digest = planDigest(planDocument(plan, config.clock));
    const open = openHolds(db).map(({ holdId }) => holdId);
    addPlan(db, { cause: 'person', digest, plan, lifts: open, lastHoldId: Math.max(0, ...open) });
    return { revision, digest };
  });
}

function keyOf({ stationId, startMs }: Run): string {
  return `${stationId} ${startMs}`;
}

function eventsOf(db: Db): { what: string; times: number }[] {
  return db
    .prepare('SELECT what, count(*) AS times FROM run_event GROUP BY what ORDER BY what')
    .all() as { what: string; times: number }[];
}
