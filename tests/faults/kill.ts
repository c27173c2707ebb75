import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { connectAsync, type MqttClient } from 'mqtt';
import type { Run } from '../../calc/schedule/run.ts';
import { loadConfig } from '../../daemon/config/load.ts';
import type { LoadedConfig } from '../../daemon/config/loaded-config.ts';
import { problemText } from '../../daemon/config/problems.ts';
import { ALL_CAUTIONS } from '../../daemon/gate/cautions.ts';
import { confirmPlan, holdWater } from '../../daemon/gate/gate.ts';
import { makePlan } from '../../daemon/planning/make-plan.ts';
import { openWeather } from '../../daemon/planning/open-weather.ts';
import { type Db, openDatabase } from '../../daemon/store/database.ts';
import { newestPlan } from '../../daemon/store/plans.ts';
import { type Broker, freePort, startBroker } from '../broker.ts';
import { account } from './simulation/account.ts';
import { logKeeper } from './simulation/log-keeper.ts';
import { random } from './simulation/random.ts';

const PROGRAM = fileURLToPath(new URL('../../dist/daemon/main.js', import.meta.url));
const HOUR_MS = 3_600_000;
/** How long all is left in peace at the end. */
const CALM_MS = 15_000;

/** An order as it came over the broker. */
interface Order {
  order_id: string;
  runs: { bed_id: string; station_id: string; start: string; run_s: number }[];
}

/**
 * Kills a real daemon with SIGKILL at random moments while people confirm, hold and plan, and while
 * a real broker goes and comes; a receiver writes down every order. Then looks at the promises.
 */
export async function killRun(asked: {
  kills: number;
  seed: number;
  onKill?(done: number): void;
}): Promise<{ lines: string[]; isGood: boolean }> {
  const rng = random(asked.seed);
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-kill-'));
  const broken: string[] = [];
  const counts = {
    kills: 0,
    orders: 0,
    'orders again': 0,
    confirms: 0,
    holds: 0,
    plans: 0,
    'broker restarts': 0,
  };
  let broker: Broker = await startBroker();
  let hears: MqttClient | null = null;
  try {
    const config = await siteOn(broker.url, folder);
    const db = openDatabase(config.dataFolder);
    const weather = openWeather(config);
    const persons = account((what) => broken.push(what), 'heard');
    const keeper = logKeeper(db);
    const contents = new Map<string, string>();
    let last: Order | null = null;
    let event = 0;

    const listen = async () => {
      const client = await connectAsync(broker.url, { protocolVersion: 5, reconnectPeriod: 100 });
      client.on('message', (_, payload) => {
        const order = JSON.parse(payload.toString('utf8')) as Order;
        last = order;
        const runs = order.runs.map(runOf);
        const content = JSON.stringify(order.runs);
        const before = contents.get(order.order_id);
        counts[before === undefined ? 'orders' : 'orders again'] += 1;
        if (before !== undefined && before !== content) {
          broken.push(`order ${order.order_id} came again with other runs`);
        }
        contents.set(order.order_id, content);
        persons.arrived({ output: 'mqtt', orderId: order.order_id, runs, nowMs: Date.now() });
      });
      await client.subscribeAsync('dewbeat/+/plan', { qos: 1 });
      return client;
    };
    hears = await listen();

    const gate = () => ({ db, clock: config.clock, outputs: ['mqtt'], nowMs: Date.now() });
    const act = async () => {
      event += 1;
      persons.notePlans(db, event);
      const what = rng.weighted({ confirm: 5, hold: 2, plan: 2, lift: 2, nothing: 2 });
      const newest = newestPlan(db);
      if (what === 'hold') {
        const beds = rng.chance(0.5) ? ('all' as const) : [rng.pick(config.site.beds).id];
        const asking = { who: 'Person 1 (invented)', why: 'tried', beds, untilMs: null };
        const { holdId } = holdWater(gate(), asking);
        persons.held(holdId, beds, event);
        counts.holds += 1;
      }
      if (what === 'confirm' && newest !== null) {
        const request = {
          revision: newest.plan.revision,
          digest: newest.digest,
          who: 'Person 2 (invented)',
          cautions: ALL_CAUTIONS.map(({ code }) => code),
        };
        const nowMs = Date.now();
        const result = confirmPlan({ ...gate(), nowMs }, request);
        if (result.ok) {
          persons.confirmed(newest, request, { event, nowMs });
          counts.confirms += 1;
        }
      }
      if (what === 'plan' || what === 'lift') {
        const lift = what === 'lift' ? 'all' : 'none';
        await makePlan(
          { db, config, weather, nowMs: Date.now() },
          { cause: 'person', who: 'Person 1 (invented)', lift },
        );
        counts.plans += 1;
      }
      persons.notePlans(db, event);
      keeper.look();
    };

    while (counts.kills < asked.kills) {
      const daemon = startProgram(folder);
      const livesMs = rng.chance(0.3) ? rng.whole(100, 1500) : rng.whole(1500, 4000);
      const endMs = Date.now() + livesMs;
      while (Date.now() < endMs) {
        await pause(rng.whole(20, 400));
        await act();
      }
      await kill(daemon);
      counts.kills += 1;
      asked.onKill?.(counts.kills);
      if (rng.chance(0.04)) {
        await hears.endAsync(true);
        await broker.stop();
        await pause(rng.whole(0, 1500));
        broker = await startBroker({ port: broker.port });
        hears = await listen();
        counts['broker restarts'] += 1;
      }
    }

    const daemon = startProgram(folder);
    await pause(CALM_MS);
    persons.notePlans(db, event);
    keeper.look();
    const wanted = persons.expected(Date.now()).map(keyOf).sort();
    const has = ((last as Order | null)?.runs ?? [])
      .map(runOf)
      .filter((run) => run.startMs >= Date.now())
      .map(keyOf)
      .sort();
    if (JSON.stringify(wanted) !== JSON.stringify(has)) {
      broken.push(`at the end ${has.length} runs are to come, ${wanted.length} should be`);
    }
    for (const { day, mornings } of morningsOf(db)) {
      if (mornings !== 1) broken.push(`${day}: ${mornings} morning plans`);
    }
    broken.push(...keeper.judge());
    await kill(daemon);
    db.close();
    const lines = [
      `${Object.entries(counts)
        .map(([what, times]) => `${times} ${what}`)
        .join(', ')}, ${keeper.rows()} rows kept`,
      `broken promises: ${broken.length}`,
      ...broken.slice(0, 20).map((what) => `  ${what}`),
    ];
    return { lines, isGood: broken.length === 0 };
  } finally {
    await hears?.endAsync(true);
    await broker.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** An invented site at which it is early morning now, with its plans on a broker. */
async function siteOn(url: string, folder: string): Promise<LoadedConfig> {
  const offsetH = ((6 - new Date().getUTCHours() + 36) % 24) - 12;
  const zone = offsetH === 0 ? 'Etc/GMT' : `Etc/GMT${offsetH > 0 ? '-' : '+'}${Math.abs(offsetH)}`;
  const usual = Array.from(
    { length: 12 },
    (_, month) => `{ month: ${month + 1}, high: 30 °C, low: 18 °C, wind: 3 m/s, rain: 0 mm }`,
  );
  const file = join(folder, 'dewbeat.yaml');
  const text = [
    `site: { id: fen-edge, name: Fen Edge (invented), latitude: 10, longitude: ${offsetH * 15}, elevation: 30 m, zone: ${zone} }`,
    'morning: { at: "00:30" }',
    `page: { port: ${await freePort()} }`,
    `weather: { source: outlook, wind_height: 10 m, usual: [${usual.join(', ')}] }`,
    'supply: { pump_flow: 500 L/min }',
    'sands: { crest: { capacity: 1.2 mm } }',
    'beds:',
    '  - { id: g1, area: 400 m², sand: crest }',
    '  - { id: g2, area: 400 m², sand: crest, exposure: 90 % }',
    'stations:',
    '  - { id: s1, bed: g1, flow: 200 L/min, rate: { stated: 18 mm/h } }',
    '  - { id: s2, bed: g2, flow: 200 L/min, rate: { stated: 18 mm/h } }',
    'outputs:',
    `  - { output: mqtt, url: "${url}" }`,
    '',
  ].join('\n');
  writeFileSync(file, text);
  const result = loadConfig(file);
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.config;
}

function startProgram(folder: string): ChildProcess {
  return spawn(process.execPath, [PROGRAM, 'run', '--log-level', 'silent'], {
    cwd: folder,
    stdio: 'ignore',
  });
}

function kill(child: ChildProcess): Promise<void> {
  return new Promise((resolve) => {
    if (child.exitCode !== null || child.signalCode !== null) return resolve();
    child.once('exit', () => resolve());
    child.kill('SIGKILL');
  });
}

function runOf(run: Order['runs'][number]): Run {
  return {
    bedId: run.bed_id,
    stationId: run.station_id,
    startMs: Date.parse(run.start),
    runS: run.run_s,
    rotations: 0,
    grossMm: 0,
    netMm: 0,
    cycle: 0,
  };
}

function keyOf(run: Pick<Run, 'stationId' | 'startMs' | 'runS'>): string {
  return `${run.stationId} ${Math.round(run.startMs / 1000)} ${Math.round(run.runS)}`;
}

function morningsOf(db: Db): { day: string; mornings: number }[] {
  return db
    .prepare(
      "SELECT site_day AS day, sum(cause = 'morning') AS mornings FROM plan GROUP BY site_day ORDER BY site_day",
    )
    .all() as { day: string; mornings: number }[];
}

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, Math.min(ms, HOUR_MS)));
}
