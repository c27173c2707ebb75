import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { open } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import mqtt from 'mqtt';
import { openDatabase } from '../../daemon/site/store/database.ts';
import { startBroker } from '../broker.ts';
import { earlySite } from './early-site.ts';
import { folderSite } from './folder-site.ts';
import { ask, command, end, pause, until } from './real-daemon.ts';

const PROGRAM = fileURLToPath(new URL('../../dist/daemon/main.js', import.meta.url));
const MIN_MS = 60_000;
/** A third of what the unit may have for everything. */
const HEAP_MB = 160;
const UNIT_MB = 512;
const PATIENCE_MS = 60_000;

/**
 * What comes in from outside, in masses: a station's export of every minute for years, reports of
 * runs and readings by the ten thousand, all loopback. Meanwhile a person stops the water.
 */
export async function inflow(asked: {
  exportMb: number;
  messages: number;
  /** How long the page is watched afterwards; in a minute every job has its turn. */
  watchedS: number;
  /** The longest that a stop, or an answer of the page, may take. */
  ceilingMs: number;
}): Promise<{ lines: string[]; isGood: boolean }> {
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-inflow-'));
  const { ceilingMs } = asked;
  const broken: string[] = [];
  const lines: string[] = [];
  const broker = await startBroker();
  let daemon: ChildProcess | null = null;
  try {
    const outFolder = join(folder, 'out');
    const config = await earlySite(folder, {
      outputs: [
        `{ output: file, folder: ${outFolder} }`,
        `{ output: mqtt, url: "${broker.url}", timeout: 1 s, retry: 0.3 s }`,
      ],
    });
    measuredWeather(folder, broker.url);
    const bytes = await writeExport(join(folder, 'weather.csv'), asked.exportMb * 1e6);
    lines.push(`export: ${(bytes / 1e6).toFixed(0)} MB; heap of at most ${HEAP_MB} MB`);
    const { port } = config.page;
    const beganMs = performance.now();
    daemon = spawn(
      process.execPath,
      [`--max-old-space-size=${HEAP_MB}`, PROGRAM, 'run', '--log-level', 'silent'],
      { cwd: folder, stdio: 'ignore' },
    );
    const { pid } = daemon;
    const probe = watchHealth(port);
    const site = folderSite({ folder, config, outFolder, broken: (what) => broken.push(what) });
    const planned = await until(async () => (await site.newest()) !== null, PATIENCE_MS);
    if (!planned) broken.push('no plan was made');
    lines.push(`first plan: ${seconds(performance.now() - beganMs)} after the start`);
    lines.push(`longest answer of the page meanwhile: ${seconds(probe.longestMs())}`);
    await site.confirmFresh();
    if (probe.longestMs() > ceilingMs) broken.push('the page was held up while weather was read');

    const client = await mqtt.connectAsync(broker.url);
    const flood = publishAll(client, asked.messages);
    await pause(300);
    probe.reset();
    const heldMs = performance.now();
    const holding = ask(port, '/api/hold', {
      beds: 'all',
      who: 'Person 1 (invented)',
      why: 'test',
    });
    const isEmpty = () => site.order()?.withdrawn != null && site.order()?.runs.length === 0;
    const stopped = await fastUntil(isEmpty, PATIENCE_MS);
    const stopMs = performance.now() - heldMs;
    if ((await holding).status !== 200)
      broken.push(`the hold was answered with ${(await holding).status}`);
    if (!stopped || stopMs > ceilingMs) broken.push(`the runs stayed for ${seconds(stopMs)}`);
    lines.push(
      `stop under ${asked.messages} messages of each kind: no runs after ${seconds(stopMs)}`,
    );
    await flood;
    const db = openDatabase(config.dataFolder);
    const count = (sql: string) => (db.prepare(sql).get() as { n: number }).n;
    const ran = () => count('SELECT count(*) AS n FROM field_report WHERE ran_key IS NOT NULL');
    if (!(await until(() => ran() >= asked.messages, PATIENCE_MS))) broken.push('reports are lost');
    lines.push(`reports written: ${ran()} of ${asked.messages}`);
    lines.push(`readings kept: ${count('SELECT count(*) AS n FROM weather_reading')}`);
    // The jobs look through all of it, and a person plans on it.
    probe.reset();
    await pause(asked.watchedS * 1000);
    lines.push(`longest answer afterwards: ${seconds(probe.longestMs())}`);
    if (probe.longestMs() > ceilingMs) broken.push('the page was held up by what had come in');
    const fresh = await command(folder, ['plan', '--lift', '--who', 'Person 2 (invented)']);
    if (fresh.code !== 0) broken.push(`no plan after it all: ${fresh.said}`);
    db.close();
    await client.endAsync(true);
    const mostMb = highestMb(pid);
    lines.push(`most memory of the daemon: ${mostMb.toFixed(0)} MB of ${UNIT_MB} MB`);
    if (mostMb > UNIT_MB || daemon.exitCode !== null) broken.push('the unit would have ended it');
    probe.end();
  } finally {
    if (daemon !== null) await end(daemon, 'SIGTERM');
    await broker.stop();
    rmSync(folder, { recursive: true, force: true });
  }
  lines.push(`broken: ${broken.length}`, ...broken.map((what) => `  ${what}`));
  return { lines, isGood: broken.length === 0 };
}

/** Puts a station's export and a mast's telemetry in the place of the site's usual weather. */
function measuredWeather(folder: string, brokerUrl: string): void {
  const file = join(folder, 'dewbeat.yaml');
  const text = readFileSync(file, 'utf8').replace(
    /^weather: (.*)$/m,
    (_, usual: string) => `weather:
  - source: csv
    file: weather.csv
    time: { form: iso, column: time }
    stamps: hour_beginning
    wind_height: 2 m
    columns:
      air_temp: { column: temp, unit: °C }
      relative_humidity: { column: rh, unit: "%" }
      wind: { column: wind, unit: m/s }
  - source: mqtt
    url: "${brokerUrl}"
    wind_height: 2 m
    readings: [{ topic: mast/temp, fields: { air_temp: { unit: °C } } }]
  - ${usual}`,
  );
  writeFileSync(file, text);
}

/** Invented rows of every minute up to now. */
async function writeExport(path: string, bytes: number): Promise<number> {
  const row = (atMs: number) =>
    `${new Date(atMs).toISOString().slice(0, 16)}Z,${(24 + ((atMs / MIN_MS) % 7)).toFixed(2)},55.00,2.40\n`;
  const nowMs = Math.floor(Date.now() / MIN_MS) * MIN_MS;
  const count = Math.ceil(bytes / row(nowMs).length);
  const file = await open(path, 'w');
  try {
    await file.write('time,temp,rh,wind\n');
    for (let done = 0; done < count; done += 20_000) {
      const rows = Array.from({ length: Math.min(20_000, count - done) }, (_, index) =>
        row(nowMs - (count - 1 - done - index) * MIN_MS),
      );
      await file.write(rows.join(''));
    }
    return (await file.stat()).size;
  } finally {
    await file.close();
  }
}

/** Reports of runs that nobody asked for, and readings, as fast as the broker takes them. */
async function publishAll(client: mqtt.MqttClient, count: number): Promise<void> {
  const start = new Date(Date.now() - 3_600_000).toISOString();
  for (let nth = 0; nth < count; nth += 200) {
    const some = Array.from({ length: Math.min(200, count - nth) }, (_, index) => {
      const run_s = (nth + index) / 1000;
      const told = JSON.stringify({ station_id: `s${1 + ((nth + index) % 3)}`, start, run_s });
      return [
        client.publishAsync('dewbeat/fen-edge/ran', told, { qos: 1 }),
        client.publishAsync('mast/temp', String(20 + run_s / 10), { qos: 1 }),
      ];
    });
    await Promise.all(some.flat());
  }
}

/** Asks the page again and again how it is, and keeps the longest time that an answer took. */
function watchHealth(port: number) {
  let longestMs = 0;
  let isEnded = false;
  const look = async () => {
    while (!isEnded) {
      const sinceMs = performance.now();
      const { status } = await ask(port, '/health');
      if (status === 200) longestMs = Math.max(longestMs, performance.now() - sinceMs);
      await pause(20);
    }
  };
  void look();
  return {
    longestMs: () => longestMs,
    reset: () => {
      longestMs = 0;
    },
    end: () => {
      isEnded = true;
    },
  };
}

async function fastUntil(isSo: () => boolean, patienceMs: number): Promise<boolean> {
  for (const endMs = performance.now() + patienceMs; performance.now() < endMs; await pause(5)) {
    if (isSo()) return true;
  }
  return isSo();
}

/** The most that the process ever had in memory, as the system counts it. */
function highestMb(pid: number | undefined): number {
  const told = readFileSync(`/proc/${pid}/status`, 'utf8');
  return Number(/^VmHWM:\s+(\d+) kB/m.exec(told)?.[1] ?? Number.NaN) / 1000;
}

function seconds(ms: number): string {
  return `${(ms / 1000).toFixed(2)} s`;
}
